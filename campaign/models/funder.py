"""Sponsors and grants: who was asked for what, and what came of it. What was received is in the cash book."""

from django.db import models

from campaign.models.codes import new_code
from campaign.models.schedule import Deadline
from campaign.models.show import Show


class Funder(models.Model):
    """A sponsor or a grant body, from the first letter to the last thanks."""

    class Kind(models.TextChoices):
        SPONSOR = "sponsor", "sponsor"
        GRANT = "grant", "grant"

    class State(models.TextChoices):
        PLANNED = "planned", "to be asked"
        ASKED = "asked", "asked"
        PROMISED = "promised", "promised"
        DECLINED = "declined", "declined"
        CLOSED = "closed", "finished"

    show = models.ForeignKey(Show, models.CASCADE, related_name="funders")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    state = models.CharField(max_length=10, choices=State.choices, default=State.PLANNED)
    name = models.CharField(max_length=160)
    contact = models.CharField(max_length=200, blank=True, help_text="A person, an address, a telephone number.")
    email = models.EmailField(blank=True)
    asked_minor = models.BigIntegerField(null=True, blank=True)
    promised_minor = models.BigIntegerField(null=True, blank=True)
    restricted_to = models.CharField(
        max_length=200, blank=True, help_text="What the money may be used for; empty: all."
    )
    next_step = models.CharField(max_length=200, blank=True)
    thanks = models.CharField(max_length=200, blank=True, help_text="How to thank on the page; empty: not named.")
    note = models.TextField(blank=True)
    # Its date, with the reminder, stands among the deadlines, so that schedule and calendar know it.
    deadline = models.OneToOneField(Deadline, models.SET_NULL, null=True, blank=True, related_name="funder")

    class Meta:
        ordering = ["kind", "name", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(kind__in=["sponsor", "grant"]), name="funder_kind_is_known"),
            models.CheckConstraint(
                condition=models.Q(state__in=["planned", "asked", "promised", "declined", "closed"]),
                name="funder_state_is_known",
            ),
            models.CheckConstraint(
                condition=(models.Q(asked_minor=None) | models.Q(asked_minor__gt=0))
                & (models.Q(promised_minor=None) | models.Q(promised_minor__gt=0)),
                name="funder_sums_are_positive",
            ),
        ]

    def __str__(self) -> str:
        return self.name

"""Days that do not count, and dates set by others."""

import uuid

from django.db import models

from campaign.models.show import Show


class ClosedDay(models.Model):
    """A day on which the artist does not work, beside weekends and public holidays."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="closed_days")
    day_on = models.DateField()
    note = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["day_on"]
        constraints = [models.UniqueConstraint(fields=["show", "day_on"], name="closed_days_differ")]

    def __str__(self) -> str:
        return f"{self.day_on} {self.note}".strip()


class Deadline(models.Model):
    """A date by which something must be handed in: a grant, a sponsor, the gallery."""

    class Kind(models.TextChoices):
        GRANT = "grant", "grant"
        SPONSOR = "sponsor", "sponsor"
        OTHER = "other", "other"

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False, help_text="Stays when the date moves.")
    show = models.ForeignKey(Show, models.CASCADE, related_name="deadlines")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    name = models.CharField(max_length=160)
    on = models.DateField()
    money_minor = models.BigIntegerField(null=True, blank=True, help_text="What could come of it.")
    note = models.CharField(max_length=300, blank=True)
    is_done = models.BooleanField(default=False)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=["grant", "sponsor", "other"]), name="deadline_kind_is_known"
            )
        ]

    def __str__(self) -> str:
        return self.name

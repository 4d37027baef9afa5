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
    remind_days = models.PositiveSmallIntegerField(default=7, help_text="Days before, for the reminder by mail.")
    reminded_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=["grant", "sponsor", "other"]), name="deadline_kind_is_known"
            )
        ]

    def __str__(self) -> str:
        return self.name


class DoneStep(models.Model):
    """A step of the schedule on which work has begun, or which is done; the artist says so."""

    class Step(models.TextChoices):
        MATERIALS = "materials", "materials"
        PROOF = "proof", "proof"
        PRINTING = "printing", "printing"
        DRYING = "drying", "drying"
        FRAMING = "framing", "framing"

    show = models.ForeignKey(Show, models.CASCADE, related_name="done_steps")
    step = models.CharField(max_length=10, choices=Step.choices)
    begun_on = models.DateField()
    done_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["begun_on", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "step"], name="done_steps_differ"),
            models.CheckConstraint(
                condition=models.Q(step__in=["materials", "proof", "printing", "drying", "framing"]),
                name="done_step_is_known",
            ),
            models.CheckConstraint(
                condition=models.Q(done_on=None) | models.Q(done_on__gte=models.F("begun_on")),
                name="done_step_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_step_display()} from {self.begun_on}"


class CalendarEntry(models.Model):
    """What the calendar feed last said of one item, so that a changed item rises in sequence and keeps its UID."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="calendar_entries")
    key = models.CharField(max_length=60, help_text="Which item of the schedule it is.")
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    first_on = models.DateField()
    last_on = models.DateField()
    summary = models.CharField(max_length=200)
    words = models.TextField(blank=True)
    sequence = models.PositiveIntegerField(default=0)
    written_at = models.DateTimeField()
    changed_at = models.DateTimeField()

    class Meta:
        ordering = ["first_on", "key"]
        constraints = [
            models.UniqueConstraint(fields=["show", "key"], name="calendar_entries_differ"),
            models.CheckConstraint(
                condition=models.Q(last_on__gte=models.F("first_on")), name="calendar_entry_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return self.summary

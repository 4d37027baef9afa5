"""Parcels: which copies travel to whom, and whether they are on their way."""

from django.db import models

from campaign.models import Copy, Job, Show
from campaign.models.codes import new_code


class Parcel(models.Model):
    """What one recipient gets in one go; name and address as they stood when the papers were made."""

    class State(models.TextChoices):
        TO_PACK = "to_pack", "to pack"
        POSTED = "posted", "posted"

    show = models.ForeignKey(Show, models.PROTECT, related_name="parcels")
    # The job that numbered it and makes its papers.
    job = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="parcels")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    number = models.PositiveIntegerField(help_text="Running number within the show, on slip and label.")
    state = models.CharField(max_length=10, choices=State.choices, default=State.TO_PACK)
    name = models.CharField(max_length=120)
    email = models.EmailField()
    address = models.JSONField(default=dict)
    mass_g = models.PositiveIntegerField()
    tracking_number = models.CharField(max_length=40, blank=True)
    posted_at = models.DateTimeField(null=True, blank=True)
    noticed_at = models.DateTimeField(null=True, blank=True, help_text="When the posted-notice was queued.")

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["show", "number"], name="parcel_numbers_differ_within_a_show"),
            models.CheckConstraint(
                condition=models.Q(state="to_pack", posted_at=None) | models.Q(state="posted", posted_at__isnull=False),
                name="parcel_has_a_moment_exactly_when_posted",
            ),
        ]

    def __str__(self) -> str:
        return f"parcel {self.number}"


class ParcelCopy(models.Model):
    """A copy in a parcel; a copy is in one parcel at most."""

    parcel = models.ForeignKey(Parcel, models.PROTECT, related_name="parcel_copies")
    copy = models.OneToOneField(Copy, models.PROTECT, related_name="parcel_copy")

    class Meta:
        ordering = ["copy__number"]

    def __str__(self) -> str:
        return f"copy {self.copy_id} in parcel {self.parcel_id}"

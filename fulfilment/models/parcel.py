"""Parcels: which copies travel to whom, whether they are packed and on their way, and what became of them."""

import uuid

from django.db import models

from campaign.models import Copy, Job, Show
from campaign.models.codes import new_code
from fulfilment.models.mailers import Mailer


class Parcel(models.Model):
    """What one recipient gets in one go; name and address as they stood when the papers were made."""

    class State(models.TextChoices):
        TO_PACK = "to_pack", "to pack"
        PACKED = "packed", "packed"
        POSTED = "posted", "posted"

    class CustomsNote(models.TextChoices):
        NONE = "", "none"
        CN22 = "CN 22", "CN 22"
        CN23 = "CN 23", "CN 23"

    show = models.ForeignKey(Show, models.PROTECT, related_name="parcels")
    # The job that numbered it and makes its papers.
    job = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="parcels")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    number = models.PositiveIntegerField(help_text="Running number within the show, on slip and label.")
    state = models.CharField(max_length=10, choices=State.choices, default=State.TO_PACK)
    name = models.CharField(max_length=120)
    email = models.EmailField()
    address = models.JSONField(default=dict)
    mass_g = models.PositiveIntegerField(help_text="With its mailer, where that is known; else as its editions say.")
    is_weighed = models.BooleanField(default=False, help_text="The mass is what the scales said.")
    mailer = models.ForeignKey(Mailer, models.PROTECT, null=True, blank=True, related_name="parcels")
    outer_length_mm = models.PositiveIntegerField(default=0, help_text="0 where the size is not known.")
    outer_width_mm = models.PositiveIntegerField(default=0)
    outer_depth_mm = models.PositiveIntegerField(default=0)
    is_tube = models.BooleanField(default=False)
    charged_mass_g = models.PositiveIntegerField(default=0, help_text="By weight or by size; 0: not worked out.")
    postage_minor = models.BigIntegerField(null=True, blank=True, help_text="What posting costs; empty: not known.")
    value_minor = models.BigIntegerField(default=0, help_text="What was paid for the prints, without postage and tax.")
    insured_minor = models.BigIntegerField(default=0)
    customs_note = models.CharField(max_length=5, choices=CustomsNote.choices, blank=True, default=CustomsNote.NONE)
    caution = models.CharField(max_length=500, blank=True, help_text="Why it is packed though a rule says no.")
    packed_at = models.DateTimeField(null=True, blank=True, help_text="Empty for what was posted without the station.")
    packed_by = models.CharField(max_length=150, blank=True, help_text="The account at the packing station.")
    posting = models.PositiveSmallIntegerField(default=1, help_text="2 and more: it came back and goes out again.")
    tracking_number = models.CharField(max_length=40, blank=True)
    posted_at = models.DateTimeField(null=True, blank=True)
    noticed_at = models.DateTimeField(null=True, blank=True, help_text="When the posted-notice was queued.")

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["show", "number"], name="parcel_numbers_differ_within_a_show"),
            models.CheckConstraint(
                condition=models.Q(state__in=["to_pack", "packed"], posted_at=None)
                | models.Q(state="posted", posted_at__isnull=False),
                name="parcel_has_a_moment_exactly_when_posted",
            ),
            models.CheckConstraint(
                condition=models.Q(state="to_pack", packed_at=None)
                | models.Q(state="packed", packed_at__isnull=False)
                | models.Q(state="posted"),
                name="parcel_is_packed_exactly_when_somebody_packed_it",
            ),
            models.CheckConstraint(
                condition=models.Q(customs_note__in=["", "CN 22", "CN 23"]), name="parcel_customs_note_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(postage_minor=None) | models.Q(postage_minor__gte=0),
                name="parcel_postage_is_not_negative",
            ),
            models.CheckConstraint(
                condition=models.Q(insured_minor__gte=0, insured_minor__lte=models.F("value_minor")),
                name="parcel_is_insured_for_its_value_at_most",
            ),
            models.CheckConstraint(
                condition=models.Q(charged_mass_g=0) | models.Q(charged_mass_g__gte=models.F("mass_g")),
                name="parcel_is_charged_for_its_mass_at_least",
            ),
            models.CheckConstraint(
                condition=models.Q(mailer=None, outer_length_mm=0, outer_width_mm=0, outer_depth_mm=0)
                | models.Q(outer_length_mm__gt=0, outer_width_mm__gt=0, outer_depth_mm__gt=0),
                name="parcel_in_a_mailer_has_its_size",
            ),
        ]

    def __str__(self) -> str:
        return f"parcel {self.number}"

    @property
    def is_posted(self) -> bool:
        """On its way; until then it can still be opened."""
        return self.state == self.State.POSTED

    @property
    def notice_key(self) -> str:
        """What names the mail that says it is posted; what came back and goes out again is told of again."""
        return f"parcel_posted:{self.code}" + (f":{self.posting}" if self.posting > 1 else "")


CLOSED = (Parcel.State.PACKED, Parcel.State.POSTED)  # nothing goes into it or out of it


class ParcelCopy(models.Model):
    """A copy in a parcel; a copy is in one parcel at most."""

    parcel = models.ForeignKey(Parcel, models.PROTECT, related_name="parcel_copies")
    copy = models.OneToOneField(Copy, models.PROTECT, related_name="parcel_copy")

    class Meta:
        ordering = ["copy__number"]

    def __str__(self) -> str:
        return f"copy {self.copy_id} in parcel {self.parcel_id}"


class ParcelEvent(models.Model):
    """What happened to a parcel, once and for good: rows are added and never changed, a mistake is a further row."""

    class Kind(models.TextChoices):
        PACKED = "packed", "packed"
        UNPACKED = "unpacked", "opened again"
        CHANGED = "changed", "mailer or weight changed"
        POSTED = "posted", "posted"
        NOT_POSTED = "not_posted", "mark of posting taken back"
        DELIVERED = "delivered", "delivered"
        RETURNED = "returned", "came back"
        DAMAGED = "damaged", "arrived damaged"
        LOST = "lost", "lost"
        SENT_AGAIN = "sent_again", "to be sent again"

    parcel = models.ForeignKey(Parcel, models.PROTECT, related_name="events")
    # The same act sent twice is one row.
    request_key = models.UUIDField(unique=True, default=uuid.uuid4)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    posting = models.PositiveSmallIntegerField(default=1)
    tracking_number = models.CharField(max_length=40, blank=True)
    # Of the kind posted: what it left in, for it may come back and go out again in another.
    mailer = models.ForeignKey(Mailer, models.PROTECT, null=True, blank=True, related_name="+")
    happened_at = models.DateTimeField()
    note = models.CharField(max_length=300, blank=True)
    by = models.CharField(max_length=150, blank=True, help_text="The account; empty where the site did it.")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"parcel {self.parcel_id} {self.kind}"

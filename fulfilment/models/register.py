"""The edition register: what happened to each copy, its certificate, and what is to be said of the edition."""

import uuid

from django.db import models

from campaign.models import Copy, Edition, Pledge
from campaign.models.codes import new_code


class CopyEvent(models.Model):
    """What happened to a copy, once and for good: rows are added and never changed, a mistake is a further row."""

    class Kind(models.TextChoices):
        PRINTED = "printed", "printed"
        NOT_PRINTED = "not_printed", "mark of printing taken back"
        SIGNED = "signed", "signed"
        NOT_SIGNED = "not_signed", "mark of signing taken back"
        SPOILED = "spoiled", "spoiled"

    copy = models.ForeignKey(Copy, models.PROTECT, related_name="events")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    # The same act sent twice is one row a copy.
    request_key = models.UUIDField(default=uuid.uuid4)
    happened_at = models.DateTimeField()
    note = models.CharField(max_length=200, blank=True, help_text="Why; stays for good, so nobody is named here.")
    by = models.CharField(max_length=150, blank=True, help_text="The account; empty where the site did it.")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["copy", "request_key", "kind"], name="copy_event_happens_once"),
            models.CheckConstraint(
                condition=models.Q(kind__in=["printed", "not_printed", "signed", "not_signed", "spoiled"]),
                name="copy_event_kind_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"copy {self.copy_id} {self.kind}"


class Certificate(models.Model):
    """The certificate of a copy for the order that has it; its code leads to a public page."""

    copy = models.ForeignKey(Copy, models.PROTECT, related_name="certificates")
    pledge = models.ForeignKey(Pledge, models.PROTECT, related_name="certificates")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    issued_at = models.DateTimeField()
    voided_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["copy__number", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["copy"], condition=models.Q(voided_at=None), name="copy_has_one_certificate_that_counts"
            ),
            models.CheckConstraint(
                condition=models.Q(voided_at=None) | models.Q(voided_at__gte=models.F("issued_at")),
                name="certificate_is_voided_after_it_was_issued",
            ),
        ]

    def __str__(self) -> str:
        return f"certificate {self.code}"

    @property
    def is_valid(self) -> bool:
        """Not voided, and the copy still belongs to the order it was issued for."""
        return self.voided_at is None and self.copy.pledge_id == self.pledge_id


class EditionFacts(models.Model):
    """
    What laws of several states ask to be said of a limited print; empty where it is not known, which is said too.

    Artist, title, size, paper, numbered copies and artist's proofs stand in the edition and its work.
    """

    class Known(models.TextChoices):
        UNKNOWN = "", "not known"
        YES = "yes", "yes"
        NO = "no", "no"

    class Master(models.TextChoices):
        UNKNOWN = "", "not known"
        KEPT = "kept", "kept"
        ALTERED = "altered", "altered"
        DESTROYED = "destroyed", "destroyed or cancelled"

    edition = models.OneToOneField(Edition, models.CASCADE, related_name="facts")
    year_printed = models.PositiveSmallIntegerField(null=True, blank=True)
    process = models.CharField(max_length=160, blank=True)
    signing = models.CharField(max_length=160, blank=True)
    is_reproduction = models.CharField(max_length=3, choices=Known.choices, blank=True)
    original_medium = models.CharField(max_length=120, blank=True)
    master_by = models.CharField(max_length=160, blank=True)
    printed_by = models.CharField(max_length=160, blank=True)
    is_approved = models.CharField(max_length=3, choices=Known.choices, blank=True)
    is_posthumous = models.CharField(max_length=3, choices=Known.choices, blank=True)
    unnumbered = models.PositiveSmallIntegerField(null=True, blank=True)
    bon_a_tirer = models.PositiveSmallIntegerField(null=True, blank=True)
    printers_proofs = models.PositiveSmallIntegerField(null=True, blank=True)
    trial_proofs = models.PositiveSmallIntegerField(null=True, blank=True)
    cancellation_proofs = models.PositiveSmallIntegerField(null=True, blank=True)
    hors_commerce = models.PositiveSmallIntegerField(null=True, blank=True)
    master_after = models.CharField(max_length=10, choices=Master.choices, blank=True)
    other_editions = models.CharField(max_length=240, blank=True)
    text = models.TextField(max_length=600, blank=True)

    class Meta:
        verbose_name_plural = "facts of editions"

    def __str__(self) -> str:
        return f"facts of {self.edition_id}"

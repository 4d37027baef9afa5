"""Prints of works for the wall: what happened to each, and how all prints lie on their paper."""

import uuid

from django.db import models

from campaign.models import Show
from campaign.models.codes import new_code


class ShowPrintEvent(models.Model):
    """
    What happened to the print of a work in one size and finish: rows are added and never changed.

    Codes and no keys: the plan that is fixed knows works by their codes, whatever becomes of their rows.
    """

    class Kind(models.TextChoices):
        PRINTED = "printed", "printed"
        NOT_PRINTED = "not_printed", "mark of printing taken back"
        SPOILED = "spoiled", "spoiled"

    show = models.ForeignKey(Show, models.PROTECT, related_name="print_events")
    work_code = models.CharField(max_length=40)
    size_code = models.CharField(max_length=40)
    finish_code = models.CharField(max_length=40)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    # The same act sent twice is one row a print.
    request_key = models.UUIDField(default=uuid.uuid4)
    happened_at = models.DateTimeField()
    note = models.CharField(max_length=200, blank=True, help_text="Why; stays for good, so nobody is named here.")
    by = models.CharField(max_length=150, blank=True, help_text="The account; empty where the site did it.")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "work_code", "size_code", "finish_code", "request_key", "kind"],
                name="show_print_event_happens_once",
            ),
            models.CheckConstraint(
                condition=models.Q(kind__in=["printed", "not_printed", "spoiled"]),
                name="show_print_event_kind_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.work_code} {self.size_code} {self.finish_code} {self.kind}"


class Nest(models.Model):
    """
    How the prints lie on their paper, as laid at one moment; the newest counts.

    Kept, because what is printed today is cut tomorrow by the same drawing, whatever was ticked or ordered since.
    """

    show = models.ForeignKey(Show, models.CASCADE, related_name="nests")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    request_key = models.UUIDField(unique=True, default=uuid.uuid4)
    made_at = models.DateTimeField()
    layout = models.JSONField(help_text="Paper by paper: its sheets or lengths, and where each print lies on them.")

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"nest {self.code}"

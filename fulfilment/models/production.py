"""Which copies are printed."""

from django.db import models

from campaign.models import Copy


class Impression(models.Model):
    """A copy that has come out of the printer well; a spoiled sheet simply never gets a row."""

    copy = models.OneToOneField(Copy, models.PROTECT, related_name="impression")
    printed_at = models.DateTimeField()

    class Meta:
        ordering = ["copy__number"]

    def __str__(self) -> str:
        return f"copy {self.copy_id} printed"

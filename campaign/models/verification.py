"""What the hourly recount of all figures found."""

from django.db import models


class Verification(models.Model):
    """One recount; the hour is unique, so that of several workers one does it."""

    hour_at = models.DateTimeField(unique=True)
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    looked_at = models.PositiveIntegerField(default=0, help_text="How many rows and sums were looked at.")
    difference = models.CharField(max_length=500, blank=True, help_text="The first one; empty where all agrees.")

    class Meta:
        ordering = ["-hour_at"]

    def __str__(self) -> str:
        return f"{self.hour_at:%Y-%m-%d %H} {self.difference or 'agrees'}"

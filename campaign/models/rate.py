"""Counters for rate limits, in our own table because cache counters lose counts between processes."""

from django.db import models


class RateCount(models.Model):
    """How often something happened within one time window."""

    key = models.CharField(max_length=120)
    window_at = models.DateTimeField()
    count = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["key", "window_at"], name="one_count_per_key_and_window")]

    def __str__(self) -> str:
        return f"{self.count} in {self.window_at:%H:%M}"

"""Signs of life of the work that goes on by itself."""

from django.db import models


class Pulse(models.Model):
    """When something that must go on by itself last did; one row per name."""

    name = models.CharField(max_length=40, unique=True)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.name} {self.at:%H:%M:%S}"

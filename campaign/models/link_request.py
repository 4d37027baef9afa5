"""Somebody asked for their private link; the worker finds out whether there is one, so no answer can tell."""

from django.db import models

from campaign.models.show import Show


class LinkRequest(models.Model):
    """An address as typed into "send me my link". Deleted when it is answered."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="link_requests")
    email = models.EmailField()
    asked_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"link request {self.pk}"

"""News the artist writes to the backers."""

from django.db import models

from campaign.models.codes import new_code
from campaign.models.job import Job
from campaign.models.show import Show


class Update(models.Model):
    """One piece of news, in Markdown; on the page once published, in the mail once sent."""

    class Segment(models.TextChoices):
        ALL = "all", "everybody who asked for news"
        UNPAID = "unpaid", "orders that wait for payment"
        WAITING = "waiting", "the waiting list"
        COUNTRY = "country", "orders to one country"

    show = models.ForeignKey(Show, models.CASCADE, related_name="updates")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    title = models.CharField(max_length=140)
    body = models.TextField()
    written_at = models.DateTimeField()
    segment = models.CharField(max_length=8, choices=Segment.choices, default=Segment.ALL)
    country = models.CharField(max_length=2, blank=True)
    is_on_page = models.BooleanField(default=True, help_text="News for a few need not stand on the page.")
    send_at = models.DateTimeField(null=True, blank=True, help_text="Sent by itself at that moment.")
    published_at = models.DateTimeField(null=True, blank=True)
    batch = models.OneToOneField(Job, models.PROTECT, null=True, blank=True, related_name="update")

    class Meta:
        ordering = ["-written_at", "-pk"]

    def __str__(self) -> str:
        return self.title

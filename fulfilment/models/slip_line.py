"""What the artist says on each packing slip of a show."""

from django.db import models

from campaign.models import Show


class SlipLine(models.Model):
    """A line of the artist's own on all packing slips of a show; no row where there is none."""

    show = models.OneToOneField(Show, models.CASCADE, related_name="slip_line")
    words = models.CharField(max_length=200)

    class Meta:
        constraints = [models.CheckConstraint(condition=~models.Q(words=""), name="slip_line_says_something")]

    def __str__(self) -> str:
        return self.words

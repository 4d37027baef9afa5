"""Links with a tag, so that the artist learns which letter or poster brought orders. Nothing about visitors is kept."""

from django.db import models

from campaign.models.show import Show


class Source(models.Model):
    """One tag; the public page carries it into the order form, and the order keeps it."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="sources")
    tag = models.SlugField(max_length=30)
    name = models.CharField(max_length=80)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["made_at", "pk"]
        constraints = [models.UniqueConstraint(fields=["show", "tag"], name="source_tags_differ_within_a_show")]

    def __str__(self) -> str:
        return self.name

"""Things and work given instead of money."""

from django.db import models

from campaign.models.costing import PriceItem
from campaign.models.show import Show
from campaign.models.work import Work


class GiftInKind(models.Model):
    """
    Something given: `quantity_milli` of an item for the whole show, or, with a work, that item for this work alone.

    For the show it lies on the shelf beside what is there; for a work its recipe lines of that item cost nothing.
    """

    show = models.ForeignKey(Show, models.CASCADE, related_name="gifts_in_kind")
    giver = models.CharField(max_length=120)
    item = models.ForeignKey(PriceItem, models.PROTECT, related_name="gifts_in_kind")
    work = models.ForeignKey(Work, models.CASCADE, null=True, blank=True, related_name="gifts_in_kind")
    quantity_milli = models.PositiveBigIntegerField(default=0)
    value_minor = models.BigIntegerField(null=True, blank=True, help_text="What it is worth, as the giver says.")
    thanks = models.CharField(max_length=200, blank=True, help_text="How to thank the giver; empty: not named.")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(work__isnull=False, quantity_milli=0) | models.Q(work=None, quantity_milli__gt=0),
                name="gift_in_kind_is_a_quantity_or_for_a_work",
            )
        ]

    def __str__(self) -> str:
        return f"{self.item} from {self.giver}"

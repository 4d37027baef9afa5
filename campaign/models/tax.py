"""Tax on prints by the backer's country, as the artist enters it; not advice."""

from django.db import models

from campaign.models.show import Show


class TaxRate(models.Model):
    """What tax a price holds, or has added to it, for backers in some countries from a day on."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="tax_rates")
    name = models.CharField(max_length=60, help_text="What the backer reads: VAT, sales tax, …")
    countries = models.CharField(max_length=2000, help_text="ISO codes with spaces between, or * for everywhere else.")
    rate_bp = models.PositiveIntegerField(help_text="1/100 %.")
    is_added = models.BooleanField(default=False, help_text="Added to the price; else the price holds it already.")
    covers_postage = models.BooleanField(default=True)
    valid_from_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.CheckConstraint(condition=models.Q(rate_bp__lt=10_000), name="tax_is_below_the_price")]

    def __str__(self) -> str:
        return f"{self.name} {self.rate_bp / 100:g} %"

    @property
    def country_codes(self) -> tuple[str, ...]:
        """Countries it is for, ISO 3166 two-letter codes, or ("*",)."""
        return tuple(self.countries.split())

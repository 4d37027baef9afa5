"""The print that can only be had by ordering ahead, one row per copy, and what posting it costs."""

from django.db import models

from campaign.models.pledge import Pledge
from campaign.models.show import Show
from campaign.models.work import Work


class Edition(models.Model):
    """A limited print; what it costs to make is the artist's, what it costs to have the backer's."""

    show = models.ForeignKey(Show, models.PROTECT, related_name="editions")
    code = models.CharField(max_length=40)
    title = models.CharField(max_length=160)
    work = models.ForeignKey(Work, models.SET_NULL, null=True, blank=True, related_name="editions")
    paper = models.CharField(max_length=160, blank=True)
    description = models.TextField(blank=True)
    width_mm = models.PositiveIntegerField()
    height_mm = models.PositiveIntegerField()
    size = models.PositiveIntegerField(help_text="How many impressions there will ever be.")
    price_minor = models.BigIntegerField()
    limit_per_person = models.PositiveSmallIntegerField(default=2)
    make_cost_minor = models.BigIntegerField(default=0, help_text="Paper, ink and proofs for one copy.")
    pack_cost_minor = models.BigIntegerField(default=0, help_text="Sleeve, board, tube and tape for one copy.")
    mass_g = models.PositiveIntegerField(default=0, help_text="One packed copy.")
    parcel_width_mm = models.PositiveIntegerField(default=0)
    parcel_height_mm = models.PositiveIntegerField(default=0)
    parcel_depth_mm = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "code"], name="edition_codes_differ_within_a_show"),
            models.CheckConstraint(
                condition=models.Q(size__gt=0, price_minor__gt=0, limit_per_person__gt=0), name="edition_is_for_sale"
            ),
            models.CheckConstraint(
                condition=models.Q(make_cost_minor__gte=0, pack_cost_minor__gte=0),
                name="edition_costs_are_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.title


class Copy(models.Model):
    """One impression n/N, from the first hold to the posted parcel."""

    class State(models.TextChoices):
        FREE = "free", "free"
        HELD = "held", "held"
        SPOKEN_FOR = "spoken_for", "spoken for"

    edition = models.ForeignKey(Edition, models.PROTECT, related_name="copies")
    number = models.PositiveIntegerField()
    state = models.CharField(max_length=12, choices=State.choices, default=State.FREE)
    pledge = models.ForeignKey(Pledge, models.PROTECT, null=True, blank=True, related_name="held_copies")
    is_packed = models.BooleanField(default=False, help_text="In a numbered parcel, so it goes to nobody else.")

    class Meta:
        ordering = ["edition", "number"]
        indexes = [models.Index(fields=["edition", "state", "number"])]
        constraints = [
            models.UniqueConstraint(fields=["edition", "number"], name="copy_numbers_differ_within_an_edition"),
            models.CheckConstraint(condition=models.Q(number__gt=0), name="copy_number_is_positive"),
            models.CheckConstraint(
                condition=models.Q(state="free", pledge=None)
                | models.Q(state__in=["held", "spoken_for"], pledge__isnull=False),
                name="copy_is_free_exactly_when_no_pledge_has_it",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number}/{self.edition.size}"


class PostageRate(models.Model):
    """What a parcel of up to so many copies to a zone costs the backer, and costs the artist."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="postage_rates")
    zone = models.CharField(max_length=60)
    countries = models.CharField(max_length=2000, help_text="ISO codes with spaces between, or * for everywhere else.")
    up_to_copies = models.PositiveSmallIntegerField()
    charge_minor = models.BigIntegerField()
    cost_minor = models.BigIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "zone", "up_to_copies"], name="postage_steps_differ_within_a_zone"),
            models.CheckConstraint(
                condition=models.Q(charge_minor__gte=0, cost_minor__gte=0, up_to_copies__gt=0),
                name="postage_is_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.zone}, up to {self.up_to_copies}"

    @property
    def country_codes(self) -> tuple[str, ...]:
        """The zone's countries, ISO 3166 two-letter codes, or ("*",)."""
        return tuple(self.countries.split())

"""The print that can only be had by ordering ahead, one row per copy, and what posting it costs."""

from datetime import datetime

from django.db import models

from campaign.models.codes import new_pledge_code
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
    position = models.PositiveIntegerField(default=0)
    proofs = models.PositiveSmallIntegerField(default=0, help_text="Artist’s proofs, outside the count, not for sale.")
    sold_from_at = models.DateTimeField(null=True, blank=True, help_text="Later than the campaign opens.")
    sold_until_at = models.DateTimeField(null=True, blank=True, help_text="Earlier than the campaign closes.")

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "code"], name="edition_codes_differ_within_a_show"),
            models.CheckConstraint(
                condition=models.Q(size__gt=0, price_minor__gt=0, limit_per_person__gt=0), name="edition_is_for_sale"
            ),
            models.CheckConstraint(
                condition=models.Q(make_cost_minor__gte=0, pack_cost_minor__gte=0),
                name="edition_costs_are_not_negative",
            ),
            models.CheckConstraint(
                condition=models.Q(sold_from_at=None)
                | models.Q(sold_until_at=None)
                | models.Q(sold_from_at__lt=models.F("sold_until_at")),
                name="edition_window_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    def is_sold_at(self, moment: datetime) -> bool:
        """True between its own moments, where it has any; whether the campaign takes orders is the show's."""
        is_begun = self.sold_from_at is None or self.sold_from_at <= moment
        return is_begun and (self.sold_until_at is None or moment < self.sold_until_at)


class PledgeLine(models.Model):
    """
    So many copies of one edition in an order, for the backer or for a friend at another address; sums frozen.

    `recipient_name` and `address` empty: they go to the backer's own name and address.
    """

    pledge = models.ForeignKey(Pledge, models.PROTECT, related_name="lines")
    edition = models.ForeignKey(Edition, models.PROTECT, related_name="lines")
    copies = models.PositiveSmallIntegerField()
    prints_minor = models.BigIntegerField(help_text="What the backer pays for them, without postage and added tax.")
    make_cost_minor = models.BigIntegerField(default=0)
    pack_cost_minor = models.BigIntegerField(default=0)
    recipient_name = models.CharField(max_length=120, blank=True)
    address = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(copies__gt=0, prints_minor__gt=0, make_cost_minor__gte=0, pack_cost_minor__gte=0),
                name="pledge_line_is_for_copies",
            )
        ]

    def __str__(self) -> str:
        return f"{self.copies} × {self.edition}"


class Waiter(models.Model):
    """Somebody who waits for copies that come back; asked in the order of asking, each offer with its own time."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        OFFERED = "offered", "has an offer"
        TAKEN = "taken", "ordered"
        LAPSED = "lapsed", "let the offer pass"
        LEFT = "left", "no longer waiting"

    LIVE = (State.WAITING, State.OFFERED)  # in the line, or with an offer

    edition = models.ForeignKey(Edition, models.CASCADE, related_name="waiters")
    code = models.CharField(max_length=16, unique=True, default=new_pledge_code)
    name = models.CharField(max_length=120)
    email = models.EmailField()
    copies = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    asked_at = models.DateTimeField()
    offered_at = models.DateTimeField(null=True, blank=True)
    offer_until_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    pledge = models.OneToOneField(Pledge, models.PROTECT, null=True, blank=True, related_name="waiter")

    class Meta:
        ordering = ["asked_at", "pk"]
        indexes = [models.Index(fields=["edition", "state"])]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=["waiting", "offered", "taken", "lapsed", "left"]),
                name="waiter_state_is_known",
            ),
            models.CheckConstraint(
                condition=~models.Q(state="offered") | models.Q(offer_until_at__isnull=False),
                name="waiter_offer_has_an_end",
            ),
            models.CheckConstraint(condition=models.Q(copies__gt=0), name="waiter_waits_for_copies"),
            models.UniqueConstraint(
                fields=["edition", "email"],
                condition=models.Q(state__in=["waiting", "offered"]),
                name="one_place_in_the_waiting_list",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Copy(models.Model):
    """One impression n/N, from the first hold to the posted parcel; an artist's proof is in a count of its own."""

    class State(models.TextChoices):
        FREE = "free", "free"
        OFFERED = "offered", "offered to the waiting list"
        HELD = "held", "held"
        SPOKEN_FOR = "spoken_for", "spoken for"
        PROOF = "proof", "artist’s proof"

    edition = models.ForeignKey(Edition, models.PROTECT, related_name="copies")
    number = models.PositiveIntegerField()
    state = models.CharField(max_length=12, choices=State.choices, default=State.FREE)
    pledge = models.ForeignKey(Pledge, models.PROTECT, null=True, blank=True, related_name="held_copies")
    line = models.ForeignKey(PledgeLine, models.PROTECT, null=True, blank=True, related_name="held_copies")
    waiter = models.ForeignKey(Waiter, models.PROTECT, null=True, blank=True, related_name="offered_copies")
    is_packed = models.BooleanField(default=False, help_text="In a numbered parcel, so it goes to nobody else.")
    is_printed = models.BooleanField(default=False, help_text="Came out well, so making it has been paid for.")
    is_posted = models.BooleanField(default=False, help_text="In a parcel that is on its way.")

    class Meta:
        ordering = ["edition", "number"]
        indexes = [models.Index(fields=["edition", "state", "number"])]
        constraints = [
            models.UniqueConstraint(
                fields=["edition", "number"],
                condition=~models.Q(state="proof"),
                name="copy_numbers_differ_within_an_edition",
            ),
            models.UniqueConstraint(
                fields=["edition", "number"], condition=models.Q(state="proof"), name="proof_numbers_differ"
            ),
            models.CheckConstraint(condition=models.Q(number__gt=0), name="copy_number_is_positive"),
            models.CheckConstraint(
                condition=models.Q(state__in=["free", "proof"], pledge=None, waiter=None)
                | models.Q(state="offered", pledge=None, waiter__isnull=False)
                | models.Q(state__in=["held", "spoken_for"], pledge__isnull=False, waiter=None),
                name="copy_is_free_exactly_when_nobody_has_it",
            ),
            models.CheckConstraint(
                condition=models.Q(pledge=None, line=None) | models.Q(pledge__isnull=False, line__isnull=False),
                name="copy_has_a_line_exactly_when_it_has_a_pledge",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number}/{self.edition.size}"


def free_to_take(through: str = "") -> models.Q:
    """
    What makes a copy one that can be ordered now, everywhere; `through` leads to it, such as "copies__".

    A copy of an ended order that lies in a numbered parcel may be on its way already, so it is nobody's to order.
    """
    return models.Q(**{f"{through}state": Copy.State.FREE, f"{through}is_packed": False})


# The same for the few statements that are written out.
FREE_TO_TAKE_SQL = f"state = '{Copy.State.FREE}' AND NOT is_packed"


class PostageRate(models.Model):
    """What a parcel of up to so many copies to a zone costs the backer, and costs the artist."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="postage_rates")
    zone = models.CharField(max_length=60)
    countries = models.CharField(max_length=2000, help_text="ISO codes with spaces between, or * for everywhere else.")
    up_to_copies = models.PositiveSmallIntegerField(default=0, help_text="0 where the weight decides.")
    up_to_g = models.PositiveIntegerField(default=0, help_text="0 where the number of copies decides.")
    valid_from_on = models.DateField(null=True, blank=True, help_text="Counts from this day on; empty: always did.")
    charge_minor = models.BigIntegerField()
    cost_minor = models.BigIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "zone", "up_to_copies", "up_to_g", "valid_from_on"],
                name="postage_steps_differ_within_a_zone",
            ),
            models.UniqueConstraint(
                fields=["show", "zone", "up_to_copies", "up_to_g"],
                condition=models.Q(valid_from_on=None),
                name="postage_steps_without_a_day_differ",
            ),
            models.CheckConstraint(
                condition=models.Q(charge_minor__gte=0, cost_minor__gte=0), name="postage_is_not_negative"
            ),
            models.CheckConstraint(
                condition=models.Q(up_to_copies__gt=0, up_to_g=0) | models.Q(up_to_copies=0, up_to_g__gt=0),
                name="postage_step_is_by_copies_or_by_weight",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.zone}, up to {f'{self.up_to_g} g' if self.up_to_g else self.up_to_copies}"

    @property
    def country_codes(self) -> tuple[str, ...]:
        """The zone's countries, ISO 3166 two-letter codes, or ("*",)."""
        return tuple(self.countries.split())

"""The studio (one per installation), its shows and their funding levels."""

import zoneinfo

from django.db import models


class Studio(models.Model):
    """The one artist's studio: who sends mail and parcels, and where money goes. Exactly one row, key 1."""

    artist_name = models.CharField(max_length=120)
    email = models.EmailField()
    contact_name = models.CharField(max_length=120, blank=True)
    address = models.TextField(blank=True, help_text="The sender on parcels, a line each.")
    iban = models.CharField(max_length=34, blank=True)
    bic = models.CharField(max_length=11, blank=True)
    account_holder = models.CharField(max_length=70, blank=True)
    cheque_payee = models.CharField(max_length=120, blank=True)
    cash_note = models.CharField(max_length=300, blank=True)
    takes_cards = models.BooleanField(default=False, help_text="Only where the installation has a processor’s keys.")

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="there_is_one_studio")]

    def __str__(self) -> str:
        return self.artist_name


class Show(models.Model):
    """One show in one room, and the campaign that pays for it."""

    class State(models.TextChoices):
        DRAFT = "draft", "being prepared"
        OPEN = "open", "taking orders"
        CLOSED = "closed", "closed, printing"
        PRINTED = "printed", "printing ended"
        CALLED_OFF = "called_off", "called off, money goes back"

    class BelowMinimum(models.TextChoices):
        SCALE_DOWN = "scale_down", "the show is made smaller"
        GIVE_BACK = "give_back", "all money is given back"

    code = models.SlugField(max_length=40, unique=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.DRAFT)
    title = models.CharField(max_length=160)
    statement = models.TextField(blank=True)
    venue_name = models.CharField(max_length=160)
    venue_address = models.CharField(max_length=300, blank=True)
    country = models.CharField(max_length=2)
    time_zone = models.CharField(max_length=60, default="Europe/Berlin")
    currency = models.CharField(max_length=3, default="EUR")
    locale = models.CharField(max_length=20, default="en")
    length_unit = models.CharField(max_length=2, default="cm", help_text="How lengths are shown: mm, cm or in.")
    # dates
    hang_on = models.DateField()
    opening_at = models.DateTimeField()
    last_day_on = models.DateField()
    opens_at = models.DateTimeField()
    closes_at = models.DateTimeField()
    posting_by_on = models.DateField(help_text="The date by which prints are posted; stated at order time.")
    cancel_until_on = models.DateField(help_text="The last day on which a backer may cancel.")
    closed_at = models.DateTimeField(null=True, blank=True)
    # orders
    hold_days = models.PositiveSmallIntegerField(default=10)
    reminder_days = models.PositiveSmallIntegerField(default=3, help_text="Days before the hold ends.")
    offer_hours = models.PositiveSmallIntegerField(
        default=48, help_text="How long an offer to the waiting list stands."
    )
    minimum_minor = models.BigIntegerField(null=True, blank=True, help_text="Wall money without which it is not made.")
    below_minimum = models.CharField(
        max_length=10, choices=BelowMinimum.choices, default=BelowMinimum.SCALE_DOWN, help_text="If it is missed."
    )
    called_off_words = models.CharField(
        max_length=500, blank=True, help_text="Why it was called off, as backers read it."
    )
    called_off_at = models.DateTimeField(null=True, blank=True)
    keep_addresses_months = models.PositiveSmallIntegerField(
        default=12, help_text="After the last day of the show, names and addresses are removed."
    )
    addresses_asked_at = models.DateTimeField(null=True, blank=True, help_text="When backers were to be asked.")
    addresses_until_on = models.DateField(null=True, blank=True, help_text="To be answered by then.")
    # sums
    commission_bp = models.PositiveIntegerField(default=0, help_text="The gallery's share of wall sales, 1/100 %.")
    set_aside_bp = models.PositiveIntegerField(default=0, help_text="Share of money received kept for tax, 1/100 %.")
    contingency_bp = models.PositiveIntegerField(default=0, help_text="Share of wall money kept unspent, 1/100 %.")
    fee_bp = models.PositiveIntegerField(default=0, help_text="Estimated share a payment processor keeps, 1/100 %.")
    fee_fixed_minor = models.PositiveIntegerField(default=0, help_text="Estimated fee for each payment besides.")
    sale_rounding_minor = models.PositiveIntegerField(default=100, help_text="Prices on the wall are multiples of it.")
    frames_pass_through = models.BooleanField(default=False, help_text="The gallery takes no share of the frame.")
    min_gap_mm = models.PositiveIntegerField(default=150)
    centre_mm = models.PositiveIntegerField(default=1450)
    printer_seconds = models.PositiveIntegerField(default=0, help_text="Printer time on the print days.")
    printer_seconds_per_m2 = models.PositiveIntegerField(default=1800)
    series_share_finish = models.BooleanField(default=True)
    most_finishes = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Different finishes in the room.")
    old_prices_before_on = models.DateField(null=True, blank=True, help_text="Prices from before are flagged.")
    calendar_version = models.PositiveIntegerField(default=1, help_text="Raised to withdraw the calendar's link.")
    # hooks
    two_hooks_from_mm = models.PositiveIntegerField(default=400)
    two_hooks_from_g = models.PositiveIntegerField(default=4500)
    hook_rating_g = models.PositiveIntegerField(default=0, help_text="What one hook is rated for; 0 is not known.")
    hook_margin = models.PositiveSmallIntegerField(default=4, help_text="Rating × hooks over the weight.")
    # schedule
    print_hours_milli = models.PositiveIntegerField(default=4000, help_text="Printing per print day, 1/1000 hours.")
    proof_days = models.PositiveSmallIntegerField(default=1)
    drying_hours = models.PositiveSmallIntegerField(default=24)
    payout_days = models.PositiveSmallIntegerField(default=0, help_text="Until the processor pays money out.")
    material_days = models.PositiveSmallIntegerField(default=5, help_text="Working days until materials arrive.")
    cautions = models.JSONField(default=list, blank=True, help_text="The artist's own words, under the house cautions.")
    # the planning engine
    inputs_version = models.PositiveIntegerField(default=1, help_text="Raised by every edit that the plan depends on.")
    rebuild_until_at = models.DateTimeField(null=True, blank=True, help_text="Somebody works the staircase out.")

    class Meta:
        ordering = ["-opening_at"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=["draft", "open", "closed", "printed", "called_off"]),
                name="show_state_is_known",
            ),
            models.CheckConstraint(
                condition=models.Q(closed_at=None, state__in=["draft", "open"])
                | models.Q(closed_at__isnull=False, state__in=["closed", "printed", "called_off"]),
                name="show_has_a_closing_moment_exactly_when_closed",
            ),
            models.CheckConstraint(
                condition=models.Q(opens_at__lt=models.F("closes_at")), name="show_closes_after_it_opens"
            ),
            models.CheckConstraint(
                condition=models.Q(commission_bp__lt=10_000, set_aside_bp__lt=10_000, contingency_bp__lt=10_000),
                name="show_shares_are_below_the_whole",
            ),
            models.CheckConstraint(
                condition=models.Q(fee_bp__lt=10_000, sale_rounding_minor__gte=1), name="show_prices_can_be_worked_out"
            ),
            models.CheckConstraint(
                condition=models.Q(addresses_asked_at=None, addresses_until_on=None)
                | models.Q(addresses_asked_at__isnull=False, addresses_until_on__isnull=False),
                name="show_asks_for_addresses_until_a_day",
            ),
            models.CheckConstraint(
                condition=models.Q(most_finishes=None) | models.Q(most_finishes__gte=1), name="show_allows_a_finish"
            ),
            models.CheckConstraint(
                condition=models.Q(below_minimum__in=["scale_down", "give_back"])
                & (models.Q(minimum_minor=None) | models.Q(minimum_minor__gt=0)),
                name="show_minimum_is_a_sum_or_none",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The show's own time zone; every date a reader sees is in it."""
        return zoneinfo.ZoneInfo(self.time_zone)


class Level(models.Model):
    """A named amount of wall money with a promise: a step of the staircase that the public sees."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="levels")
    name = models.CharField(max_length=80)
    promise = models.TextField(blank=True)
    money_minor = models.BigIntegerField()
    promised_works = models.PositiveIntegerField(default=0, help_text="Works that the promise speaks of.")
    promised_worth = models.PositiveBigIntegerField(default=0, help_text="Worth of the plan it was written from.")

    class Meta:
        ordering = ["money_minor", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "money_minor"], name="levels_of_a_show_differ_in_money"),
            models.CheckConstraint(condition=models.Q(money_minor__gt=0), name="level_money_is_positive"),
        ]

    def __str__(self) -> str:
        return self.name

"""What one ordered print leaves for the walls of a show, and how many it takes for each level; also as a trial."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Sum

from campaign.drawing.copies import DrawnCopies, draw_copies
from campaign.drawing.thermometer import Mark
from campaign.measures.money import portion, portion_bp
from campaign.models import Account, Copy, Edition, Pledge, Show
from campaign.planning.prices.pricing import (
    CopyNet,
    CopyTerms,
    Needed,
    PriceRun,
    copies_for,
    dearer_end,
    mix_buyers,
    money_by_copies,
    net_of_copy,
    percent_words,
    runs_after,
    share_copies,
)
from campaign.queries.money import read_balances, read_money
from campaign.queries.post_zones import copies_by_zone, read_zones, zone_of
from campaign.queries.postage import Load, rates_in_force
from campaign.queries.price_book import wording_of
from campaign.queries.standing import find_run, load_staircase
from campaign.queries.taxes import find_tax

A_THIRD_BP = 3_333


@dataclass(frozen=True, slots=True)
class PrintTrial:
    """The figures a page is worked out with: those that are stored, or some of them tried out. Minor units, 1/100 %."""

    price_minor: int
    make_minor: int
    pack_minor: int
    fee_bp: int
    fee_fixed_minor: int
    set_aside_bp: int
    costs_minor: int
    tax_bp: int = 0
    abroad_bp: int = A_THIRD_BP
    last_copies: int = 0
    last_price_minor: int = 0

    @property
    def abroad_words(self) -> str:
        """How many of the buyers live abroad, for sentences: "a third", "50 %"."""
        return "a third" if self.abroad_bp == A_THIRD_BP else percent_words(self.abroad_bp)


@dataclass(frozen=True, slots=True)
class ZoneNet:
    """One postage zone: its countries in words, what a copy leaves there, and its share of the mixture."""

    countries: str
    net: CopyNet
    is_home: bool
    copies: int


@dataclass(frozen=True, slots=True)
class Goal:
    """A sum of wall money and the copies it takes: all sold at home, mixed, and still to sell from today (mixed)."""

    name: str
    money_minor: int
    home: Needed
    mixed: Needed
    still: Needed


@dataclass(frozen=True, slots=True)
class PrintPrices:
    """
    The page of one edition.

    `zones` in the order of the postage table; empty without postage, then nothing else is worked out and the rest is
    None or empty. `mean_minor` is what a copy leaves on average of the mixture. `other_minor` is money that is there
    besides prints, less the campaign's own costs.
    """

    edition: Edition
    trial: PrintTrial
    zones: tuple[ZoneNet, ...]
    goals: tuple[Goal, ...]
    break_even: Needed | None
    mean_minor: int
    all_minor: int
    plain_minor: int
    other_minor: int
    copies_sold: int
    copies_held: int
    drawn: DrawnCopies | None

    @property
    def home(self) -> ZoneNet | None:
        """The artist's own zone."""
        return next((zone for zone in self.zones if zone.is_home), None)

    @property
    def uncovered_minor(self) -> int:
        """The campaign's own costs that no other money covers."""
        return max(0, -self.other_minor)


def stored_figures(show: Show, *, edition: Edition, today: date) -> PrintTrial:
    """The figures as they are kept, with the tax that prices hold for buyers at home. Two queries."""
    tax = find_tax(show.tax_rates.all(), country=show.country, today=today)
    return PrintTrial(
        price_minor=edition.price_minor,
        make_minor=edition.make_cost_minor,
        pack_minor=edition.pack_cost_minor,
        fee_bp=show.fee_bp,
        fee_fixed_minor=show.fee_fixed_minor,
        set_aside_bp=show.set_aside_bp,
        costs_minor=stored_costs(show),
        # What is added to the price is the buyer's money and never the artist's.
        tax_bp=0 if tax.is_added else tax.rate_bp,
    )


def stored_costs(show: Show) -> int:
    """The campaign's own costs in the cash book. One query."""
    return max(0, read_balances(show)[Account.COSTS])


def read_print_prices(show: Show, *, edition: Edition, trial: PrintTrial, today: date) -> PrintPrices:
    """The page of `edition` with the figures of `trial` and the postage of `today`; nothing is stored."""
    rates = rates_in_force(show.postage_rates.all(), today=today)
    zones, countries = read_zones(rates, load=Load(1, edition.mass_g))
    other_minor = _other_minor(show, costs_minor=trial.costs_minor)
    states = Counter(edition.copies.values_list("state", flat=True))
    sold, held = states[Copy.State.SPOKEN_FOR], states[Copy.State.HELD]
    empty = PrintPrices(edition, trial, (), (), None, 0, 0, 0, other_minor, sold, held, None)
    if not zones:
        return empty
    home = zone_of(show.country, rates=rates, zones=zones)
    orders = copies_by_zone(edition, rates=rates, zones=zones)
    mixed = mix_buyers(zones, home=home, abroad_bp=trial.abroad_bp, abroad=orders)
    at_home = mix_buyers(zones, home=home, abroad_bp=0)
    terms = _terms(trial)
    runs = _runs(edition, trial=trial)
    money = {"home": money_by_copies(terms, runs=runs, buyers=at_home),
             "mixed": money_by_copies(terms, runs=runs, buyers=mixed)}  # fmt: skip
    one_price = (PriceRun(edition.size, trial.price_minor),)
    plain = money["mixed"] if runs == one_price else money_by_copies(terms, runs=one_price, buyers=mixed)
    still = money_by_copies(terms, runs=runs_after(runs, sold=sold), buyers=mixed)
    goals = _goals(show, trial=trial, money={**money, "still": still}, other_minor=other_minor)
    nets = [net_of_copy(terms, price_minor=trial.price_minor, zone=zone, wording=wording_of(show)) for zone in zones]
    shares = share_copies(edition.size, buyers=mixed)
    return replace(
        empty,
        zones=tuple(
            ZoneNet(countries=words, net=net, is_home=number == home, copies=share)
            for number, (words, net, share) in enumerate(zip(countries, nets, shares, strict=True))
        ),
        goals=goals,
        break_even=copies_for(trial.costs_minor, money=money["mixed"]) if trial.costs_minor else None,
        mean_minor=portion(money["mixed"][-1], numerator=1, denominator=edition.size),
        all_minor=money["mixed"][-1],
        plain_minor=plain[-1],
        drawn=_drawn(show, money=money, other_minor=other_minor, sold=sold, goals=goals),
    )


def _terms(trial: PrintTrial) -> CopyTerms:
    return CopyTerms(
        make_minor=trial.make_minor,
        pack_minor=trial.pack_minor,
        fee_bp=trial.fee_bp,
        fee_fixed_minor=trial.fee_fixed_minor,
        set_aside_bp=trial.set_aside_bp,
        tax_bp=trial.tax_bp,
    )


def _runs(edition: Edition, *, trial: PrintTrial) -> tuple[PriceRun, ...]:
    if not (trial.last_copies and trial.last_price_minor):
        return (PriceRun(edition.size, trial.price_minor),)
    return dearer_end(
        copies=edition.size, price_minor=trial.price_minor, last=trial.last_copies,
        last_price_minor=trial.last_price_minor,
    )  # fmt: skip


def _other_minor(show: Show, *, costs_minor: int) -> int:
    """Money that no print brings: own, sponsors', grants and gifts in hand, less the campaign's own costs."""
    balances = read_balances(show)
    gifts: int = show.pledges.filter(state=Pledge.State.PAID).aggregate(n=Sum("gift_minor", default=0))["n"]
    besides = -sum(balances[account] for account in (Account.OWN, Account.SPONSORS, Account.GRANTS))
    return besides + gifts - portion_bp(gifts, bp=show.set_aside_bp) - costs_minor


def _goals(show: Show, *, trial: PrintTrial, money: dict[str, tuple[int, ...]], other_minor: int) -> tuple[Goal, ...]:
    """The first step at which anything hangs, and every level."""
    sums = [(level.name, level.money_minor) for level in show.levels.all()]
    run = find_run(show)
    first = next((step for step in load_staircase(run).steps if step.worth), None) if run else None
    if first and first.money_minor:
        sums.append(("The first works hang", first.money_minor))
    # Costs that are tried out beyond those in the cash book have to be earned as well.
    more_costs_minor = trial.costs_minor - stored_costs(show)
    in_hand_minor = read_money(show).in_hand.before_contingency_minor - more_costs_minor
    kept = show.contingency_bp
    return tuple(
        Goal(
            name=name,
            money_minor=minor,
            home=copies_for(minor, money=money["home"], other_minor=other_minor, contingency_bp=kept),
            mixed=copies_for(minor, money=money["mixed"], other_minor=other_minor, contingency_bp=kept),
            still=copies_for(minor, money=money["still"], other_minor=in_hand_minor, contingency_bp=kept),
        )
        for name, minor in sorted(sums, key=lambda one: one[1])
    )


def _drawn(
    show: Show, *, money: dict[str, tuple[int, ...]], other_minor: int, sold: int, goals: Sequence[Goal]
) -> DrawnCopies:
    def wall(sums: Sequence[int]) -> list[int]:
        totals = [other_minor + minor for minor in sums]
        return [total - portion_bp(max(0, total), bp=show.contingency_bp) for total in totals]

    marks = [Mark(goal.name, goal.money_minor, goal.home.copies is not None) for goal in goals]
    return draw_copies(wall(money["home"]), pencil=wall(money["mixed"]), sold=sold, levels=marks)

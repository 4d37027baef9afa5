"""What an order would be on: which prints, how many, what they cost with postage to a country, how to pay."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from campaign.addresses import country_choices, country_codes
from campaign.errors import NoPostage
from campaign.measures.weights import format_weight
from campaign.measures.words import count_of
from campaign.models import Edition, PostageRate, Show, Studio
from campaign.planning.prices.order_tax import NO_TAX, TaxTerms
from campaign.queries.basket import Basket, LineWish, Tables, price_basket, tables_of
from campaign.queries.order_ground import Ground, count_stock, read_ground
from campaign.queries.postage import ELSEWHERE, list_ways, rates_in_force
from campaign.queries.taxes import find_tax


@dataclass(frozen=True, slots=True)
class EditionTerms:
    """
    An edition on the order form; `most` copies can be had now, 0 where it is sold out or not sold now.

    `copies_free` as far as they were counted.
    """

    edition: Edition
    copies_free: int
    most: int
    is_later: bool
    is_over: bool


@dataclass(frozen=True, slots=True)
class PostageStep:
    """One step of the postage to a country: how far it goes in words, and the charge in minor units."""

    words: str
    charge_minor: int


@dataclass(frozen=True, slots=True)
class OrderTerms:
    """
    The terms for the show's editions and one country (ISO code), or for a gift: then there are no editions.

    `chosen` is the code of the edition the reader came for; `friend_country` empty where all goes to the backer.
    """

    ground: Ground
    editions: tuple[EditionTerms, ...]
    tables: Tables | None
    chosen: str
    country: str
    friend_country: str
    ways: tuple[tuple[str, str], ...]
    countries: tuple[tuple[str, str], ...]
    is_open: bool

    @property
    def show(self) -> Show:
        """The show that it is ordered from."""
        return self.ground.show

    @property
    def studio(self) -> Studio:
        """Who is paid."""
        return self.ground.studio

    @property
    def is_gift(self) -> bool:
        """Money without a print; no address is asked for."""
        return self.tables is None

    @property
    def on_sale(self) -> tuple[EditionTerms, ...]:
        """The editions of which something can be had now."""
        return tuple(one for one in self.editions if one.most)

    @property
    def not_on_sale(self) -> tuple[EditionTerms, ...]:
        """The others."""
        return tuple(one for one in self.editions if not one.most)

    @property
    def can_order(self) -> bool:
        """Something can be ordered or given right now."""
        can_be_posted = any(self.price_of(one, copies=1) for one in self.on_sale)
        return self.is_open and bool(self.ways) and (self.is_gift or can_be_posted)

    @property
    def tax(self) -> TaxTerms:
        """The tax on what a backer in the country orders."""
        tables = self.tables
        return find_tax(tables.taxes, country=self.country, today=tables.today) if tables else NO_TAX

    def postage_steps(self, country: str) -> tuple[PostageStep, ...]:
        """What posting to a country costs, step by step."""
        if self.tables is None:
            return ()
        rates = list_zone(rates_in_force(self.tables.rates, today=self.tables.today), country=country)
        return tuple(PostageStep(step_words(rate), rate.charge_minor) for rate in rates)

    def price(self, lines: Sequence[LineWish], *, gift_minor: int = 0) -> Basket:
        """The sums of an order on these terms. Raises: NoPostage."""
        if self.tables is None:
            return Basket(gift_minor=gift_minor)
        address = {"country_code": self.country}
        return price_basket(self.tables, lines=lines, address=address, gift_minor=gift_minor)

    def price_of(self, one: EditionTerms, *, copies: int) -> Basket | None:
        """So many copies of one edition for the backer alone; None where they cannot be posted."""
        try:
            return self.price([LineWish(one.edition.code, copies)])
        except NoPostage:
            return None


def is_open(show: Show, *, now: datetime) -> bool:
    """Orders are taken now."""
    return show.state == Show.State.OPEN and show.opens_at <= now < show.closes_at


def read_print_terms(
    *, show: Show, edition_code: str, country: str, now: datetime, friend_country: str = ""
) -> OrderTerms:
    """
    The terms for the prints of `show`; the edition named is chosen, else the first that can be had. Five queries.

    A country that is unknown or has no postage is replaced by the show's own, a friend's by none.
    """
    return print_terms_of(
        read_ground(show), edition_code=edition_code, country=country, friend_country=friend_country, now=now,
        counts_all=True,
    )  # fmt: skip


def print_terms_of(
    ground: Ground,
    *,
    edition_code: str,
    country: str,
    now: datetime,
    friend_country: str = "",
    counts_all: bool = False,
) -> OrderTerms:
    """
    The same on a ground that has been read. One query: the copies that are free change with every order.

    They are counted as far as one person may order, and to the end only where that is to be said (`counts_all`).
    """
    show = ground.show
    most = max((edition.size if counts_all else edition.limit_per_person for edition in ground.editions), default=0)
    free = count_stock(ground.editions, most=most)
    tables = tables_of(ground, now=now)
    countries = list_countries(rates_in_force(tables.rates, today=tables.today))
    codes = [code for code, _ in countries]
    found = tuple(_edition_terms(edition, free=free[edition.pk], now=now) for edition in ground.editions)
    can_be_had = [one.edition.code for one in found if one.most]
    return OrderTerms(
        ground=ground,
        editions=found,
        tables=tables,
        chosen=next((code for code in (edition_code, *can_be_had) if code in can_be_had), ""),
        country=next((code for code in (country.upper(), show.country, *codes) if code in codes), ""),
        friend_country=friend_country.upper() if friend_country.upper() in codes else "",
        ways=tuple(list_ways(studio=ground.studio, show=show)),
        countries=countries,
        is_open=is_open(show, now=now),
    )


def gift_terms_of(ground: Ground, *, now: datetime) -> OrderTerms:
    """The terms for giving without a print."""
    return OrderTerms(
        ground=ground, editions=(), tables=None, chosen="", country="", friend_country="",
        ways=tuple(list_ways(studio=ground.studio, show=ground.show)), countries=(),
        is_open=is_open(ground.show, now=now),
    )  # fmt: skip


def list_countries(rates: Iterable[PostageRate]) -> tuple[tuple[str, str], ...]:
    """The countries that have a postage rate, as form choices sorted by name."""
    named = {code for rate in rates for code in rate.country_codes}
    posted = country_codes() if "*" in named else named
    return tuple((code, name) for code, name in country_choices() if code in posted)


def list_zone(rates: Sequence[PostageRate], *, country: str) -> list[PostageRate]:
    """The steps of the zone a country is in, from the smallest."""
    named = [rate for rate in rates if country in rate.country_codes]
    zone = named or [rate for rate in rates if rate.country_codes == ELSEWHERE]
    return sorted(zone, key=lambda rate: (rate.up_to_g, rate.up_to_copies))


def step_words(rate: PostageRate) -> str:
    """How far a step goes: "up to 3 prints", "up to 1.2 kg"."""
    if rate.up_to_g:
        return f"up to {format_weight(rate.up_to_g)}"
    return "1 print" if rate.up_to_copies == 1 else f"up to {count_of(rate.up_to_copies, 'print')}"


def _edition_terms(edition: Edition, *, free: int, now: datetime) -> EditionTerms:
    is_sold = edition.is_sold_at(now)
    is_later = edition.sold_from_at is not None and now < edition.sold_from_at
    return EditionTerms(
        edition=edition,
        copies_free=free,
        most=min(free, edition.limit_per_person) if is_sold else 0,
        is_later=is_later,
        is_over=not is_sold and not is_later,
    )

"""What an order costs: lines, postage to each address, tax. One sum for who shows it and who records it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from campaign.addresses import country_in_sentence
from campaign.errors import NoPostage
from campaign.models import Edition, PostageRate, TaxRate
from campaign.planning.prices.order_tax import NO_TAX, TaxTerms, kept_for_tax, tax_on
from campaign.queries.order_ground import Ground
from campaign.queries.postage import Load, find_postage
from campaign.queries.taxes import find_tax


@dataclass(frozen=True, slots=True)
class LineWish:
    """So many copies of one edition; `recipient_name` and `address` empty for the backer's own."""

    edition_code: str
    copies: int
    recipient_name: str = ""
    address: Mapping[str, str] = field(default_factory=dict)

    @property
    def is_for_friend(self) -> bool:
        """It goes to somebody else than the backer."""
        return bool(self.recipient_name or self.address)


@dataclass(frozen=True, slots=True)
class Tables:
    """The rows that prices come from: editions of the show by code, all postage, all tax, and the day that counts."""

    editions: Mapping[str, Edition]
    rates: Sequence[PostageRate]
    taxes: Sequence[TaxRate]
    today: date


@dataclass(frozen=True, slots=True)
class BasketLine:
    """A line with its edition and what its copies cost the backer and the artist, minor units."""

    wish: LineWish
    edition: Edition

    @property
    def load(self) -> Load:
        """Its copies, packed."""
        return Load(self.wish.copies, self.edition.mass_g * self.wish.copies)

    @property
    def prints_minor(self) -> int:
        """Price of its copies, without postage and added tax."""
        return self.edition.price_minor * self.wish.copies

    @property
    def make_cost_minor(self) -> int:
        """What making its copies costs the artist."""
        return self.edition.make_cost_minor * self.wish.copies

    @property
    def pack_cost_minor(self) -> int:
        """What packing its copies costs the artist."""
        return self.edition.pack_cost_minor * self.wish.copies


@dataclass(frozen=True, slots=True)
class Destination:
    """One address and what goes there; `recipient_name` empty for the backer. Minor units."""

    recipient_name: str
    country: str
    load: Load
    postage_minor: int
    cost_minor: int


@dataclass(frozen=True, slots=True)
class Basket:
    """An order's sums, minor units; they add up to `total_minor`."""

    lines: tuple[BasketLine, ...] = ()
    destinations: tuple[Destination, ...] = ()
    gift_minor: int = 0
    tax: TaxTerms = NO_TAX

    @property
    def copies(self) -> int:
        """All copies together."""
        return sum(line.wish.copies for line in self.lines)

    @property
    def prints_minor(self) -> int:
        """Price of all copies."""
        return sum(line.prints_minor for line in self.lines)

    @property
    def postage_minor(self) -> int:
        """Postage to all addresses."""
        return sum(one.postage_minor for one in self.destinations)

    @property
    def postage_cost_minor(self) -> int:
        """What posting to all addresses costs the artist."""
        return sum(one.cost_minor for one in self.destinations)

    @property
    def tax_minor(self) -> int:
        """All tax within the total."""
        return tax_on(self.tax, prints_minor=self.prints_minor, postage_minor=self.postage_minor)

    @property
    def tax_added_minor(self) -> int:
        """The tax that is added to the prices; 0 where they hold it."""
        return self.tax_minor if self.tax.is_added else 0

    @property
    def total_minor(self) -> int:
        """What the backer pays."""
        return self.prints_minor + self.postage_minor + self.tax_added_minor + self.gift_minor

    def kept_minor(self, *, set_aside_bp: int) -> int:
        """What is kept for taxes: that of the table, and the artist's share of the rest."""
        return kept_for_tax(self.total_minor, tax_minor=self.tax_minor, set_aside_bp=set_aside_bp)


def tables_of(ground: Ground, *, now: datetime) -> Tables:
    """The tables of a show on the day that it is `now` where the show is."""
    return Tables(
        editions={edition.code: edition for edition in ground.editions},
        rates=ground.rates,
        taxes=ground.taxes,
        today=now.astimezone(ground.show.zone).date(),
    )


def price_basket(
    tables: Tables, *, lines: Sequence[LineWish], address: Mapping[str, str], gift_minor: int = 0
) -> Basket:
    """
    The sums of an order.

    Parameters: lines, of editions that `tables` have, may be none; address, the backer's own, whose country the tax
        follows.
    Raises: NoPostage for the first address that has no price.
    """
    found = tuple(BasketLine(line, tables.editions[line.edition_code]) for line in lines)
    tax = find_tax(tables.taxes, country=address.get("country_code", ""), today=tables.today) if found else NO_TAX
    loads = loads_of((line.wish.recipient_name, line.wish.address or address, line.load) for line in found)
    return Basket(
        lines=found,
        destinations=tuple(
            price_load(tables.rates, recipient_name=name, country=country, load=load, today=tables.today)
            for name, country, load in loads
        ),
        gift_minor=gift_minor,
        tax=tax,
    )


def loads_of(parts: Iterable[tuple[str, Mapping[str, str], Load]]) -> list[tuple[str, str, Load]]:
    """
    What goes to each recipient at each address, added up.

    Parameters: parts, each with the recipient's name (empty for the backer), the address, what goes there.
    Returns: recipient's name, country and load of each, in the order of the parts.
    """
    found: dict[tuple[str, tuple[tuple[str, str], ...]], tuple[str, str, Load]] = {}
    for name, address, part in parts:
        key = (" ".join(name.split()).casefold(), tuple(sorted(address.items())))
        _, _, before = found.get(key, ("", "", Load(0)))
        load = Load(before.copies + part.copies, before.mass_g + part.mass_g)
        found[key] = (name, address.get("country_code", ""), load)
    return list(found.values())


def price_load(
    rates: Sequence[PostageRate], *, recipient_name: str, country: str, load: Load, today: date
) -> Destination:
    """What goes to one address, with its postage. Raises: NoPostage."""
    rate = find_postage(rates, country=country, load=load, today=today)
    if rate is None:
        raise NoPostage(country=country_in_sentence(country) if country else "an order without a country")
    return Destination(recipient_name, country, load, rate.charge_minor, rate.cost_minor)

"""From what came in to what can be spent on the walls; sums only, the rows behind them are not here."""

from dataclasses import dataclass

from campaign.measures.money import portion


@dataclass(frozen=True, slots=True)
class Income:
    """
    Totals of a campaign in minor units, each zero or more.

    `received_minor` is what came for paid orders, `refunded_minor` what of it went back; `tax_minor` is tax set aside
    out of what was received; make, pack and post belong to the ordered prints, `loose_print_minor` to those made for
    orders that have ended since and that nobody has ordered again;
    sponsors, grants and own money come on top of the orders.
    """

    received_minor: int = 0
    refunded_minor: int = 0
    fee_minor: int = 0
    tax_minor: int = 0
    make_minor: int = 0
    pack_minor: int = 0
    post_minor: int = 0
    loose_print_minor: int = 0
    campaign_cost_minor: int = 0
    sponsor_minor: int = 0
    grant_minor: int = 0
    own_minor: int = 0
    contingency_minor: int = 0


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """One line of the wall money sum; money that leaves is negative."""

    text: str
    amount_minor: int


@dataclass(frozen=True, slots=True)
class WallMoney:
    """Wall money and the lines that add up to it."""

    lines: tuple[MoneyLine, ...]
    total_minor: int

    @property
    def before_contingency_minor(self) -> int:
        """The same sum before anything is kept for the unforeseen."""
        return sum(line.amount_minor for line in self.lines if line.text != CONTINGENCY)


CONTINGENCY = "Kept for the unforeseen"
_PARTS = (
    ("received_minor", "Received for orders and gifts", 1),
    ("refunded_minor", "Given back to their backers", -1),
    ("fee_minor", "Fees of bank and payment processor", -1),
    ("tax_minor", "Tax set aside", -1),
    ("make_minor", "Making the ordered prints", -1),
    ("pack_minor", "Packing the ordered prints", -1),
    ("post_minor", "Posting the ordered prints", -1),
    ("loose_print_minor", "Prints made for orders that ended", -1),
    ("campaign_cost_minor", "Other costs of the campaign", -1),
    ("sponsor_minor", "Sponsors", 1),
    ("grant_minor", "Grants", 1),
    ("own_minor", "Own money", 1),
    ("contingency_minor", CONTINGENCY, -1),
)


def wall_money(income: Income) -> WallMoney:
    """
    What can be spent on the walls: received less what the orders cost, plus other money.

    Returns: the total, which may be below zero, and one line per part that is not zero; the first line always stands.

    >>> wall_money(Income(received_minor=10_000, fee_minor=250, make_minor=3_000)).total_minor
    6750
    """
    lines = tuple(
        MoneyLine(text=text, amount_minor=sign * getattr(income, field))
        for field, text, sign in _PARTS
        if getattr(income, field) or field == "received_minor"
    )
    return WallMoney(lines=lines, total_minor=sum(line.amount_minor for line in lines))


def tax_inside(gross_minor: int, *, tax_bp: int) -> int:
    """
    Tax contained in a price that includes it: gross x rate / (1 + rate), half to even.

    >>> tax_inside(11_900, tax_bp=1900)
    1900
    """
    return portion(gross_minor, numerator=tax_bp, denominator=10_000 + tax_bp)

"""Tax on one order at the rate of the backer's country, held by the prices or added; and what is kept for it."""

from dataclasses import dataclass
from fractions import Fraction

from campaign.measures.money import BP_PER_WHOLE, portion_bp
from campaign.planning.errors import require
from campaign.planning.income import tax_inside


@dataclass(frozen=True, slots=True)
class TaxTerms:
    """
    A tax as the artist's own table has it; `rate_bp` in 1/100 %, 0 for none.

    Prices hold it already, or it is added to them. Gifts are never taxed: nothing is sold for them.
    """

    name: str = ""
    rate_bp: int = 0
    is_added: bool = False
    covers_postage: bool = True

    def __post_init__(self) -> None:
        require(field="rate_bp", found=self.rate_bp, least=0)


NO_TAX = TaxTerms()


def tax_on(terms: TaxTerms, *, prints_minor: int, postage_minor: int) -> int:
    """
    The tax on prints and, where the terms say so, on their postage, minor units; rounded once, half to even.

    Parameters: prints_minor, postage_minor, as the artist's tables have them, >= 0.
    Source: the arithmetic of prices with tax inside; checked by fractions in test_order_tax.py.

    >>> tax_on(TaxTerms("VAT", 2000), prints_minor=10_000, postage_minor=2_000)
    2000
    >>> tax_on(TaxTerms("sales tax", 825, is_added=True, covers_postage=False), prints_minor=10_000, postage_minor=990)
    825
    """
    base = prints_minor + (postage_minor if terms.covers_postage else 0)
    return portion_bp(base, bp=terms.rate_bp) if terms.is_added else tax_inside(base, tax_bp=terms.rate_bp)


def kept_for_tax(total_minor: int, *, tax_minor: int, set_aside_bp: int) -> int:
    """
    What is kept of an order before any of it is wall money: its tax, and the artist's share of the rest.

    The tax belongs to somebody else from the first day; the share is for the tax on the artist's own income, and
    there is no such income in the tax. So the share is taken of the total less the tax, and nothing is kept twice.

    Parameters: total_minor, all that the backer pays, added tax included; tax_minor, 0 <= tax_minor <= total_minor;
        set_aside_bp, the artist's share, 0 <= set_aside_bp < 10 000.
    Returns: minor units, from tax_minor to total_minor; the share rounded half to even.

    >>> kept_for_tax(12_000, tax_minor=2_000, set_aside_bp=1_000)
    3000
    """
    require(field="tax_minor", found=tax_minor, least=0)
    require(field="total_minor", found=total_minor, least=tax_minor)
    if not 0 <= set_aside_bp < BP_PER_WHOLE:
        raise ValueError("set_aside_bp must be from 0 to 9999")
    return tax_minor + portion_bp(total_minor - tax_minor, bp=set_aside_bp)


def kept_of_new_total(kept_minor: int, *, total_minor: int, new_total_minor: int, tax_minor: int) -> int:
    """
    What is kept of an order once a gift on top, or one taken away again, makes its total another.

    The tax stays: nothing is sold for a gift. The artist's share of the rest was agreed with the order and may be
    another today, so it is read off the order itself. Back at the old total the old sum is kept again, to the cent.

    Parameters: kept_minor, what is kept of total_minor, as `kept_for_tax` says; both totals more than tax_minor.
    Returns: minor units, rounded half to even.

    >>> kept_of_new_total(3_000, total_minor=12_000, new_total_minor=14_000, tax_minor=2_000)
    3200
    >>> kept_of_new_total(3_200, total_minor=14_000, new_total_minor=12_000, tax_minor=2_000)
    3000
    """
    require(field="total_minor", found=total_minor, least=tax_minor + 1)
    require(field="new_total_minor", found=new_total_minor, least=tax_minor + 1)
    share = Fraction(kept_minor - tax_minor, total_minor - tax_minor)
    return tax_minor + round(share * (new_total_minor - tax_minor))

"""A plan's cost opened into lines: what is bought for the show as a whole, and what finishes charge beside works."""

from collections.abc import Sequence
from fractions import Fraction

from campaign.planning.costing.quantities import MICRO, Wording, micro_words, number_words, quantity_words
from campaign.planning.inputs import FinishTerms, Pack, Supply
from campaign.planning.results import Charge, CostLine, Plan, Purchase


def bill_lines(
    plan: Plan, *, supplies: Sequence[Supply], finishes: Sequence[FinishTerms], wording: Wording
) -> tuple[CostLine, ...]:
    """
    What `plan` costs beside its works and the show cost, line by line.

    Parameters: supplies and finishes of the request that the plan was made from.
    Returns: a line for each purchase, then for each set-up and each shortfall; their amounts with the works' own
        costs and the show cost add up to the plan's cost.
    """
    supply_of = {supply.code: supply for supply in supplies}
    terms_of = {terms.code: terms for terms in finishes}
    bought = [
        purchase_line(purchase, supply=supply_of[purchase.supply_code], wording=wording) for purchase in plan.purchases
    ]
    charged = [
        line
        for charge in plan.charges
        for line in charge_lines(charge, terms=terms_of[charge.finish_code], wording=wording)
    ]
    return (*bought, *charged)


def purchase_line(purchase: Purchase, *, supply: Supply, wording: Wording) -> CostLine:
    """
    One purchase: what is needed, what the shelf gives, what is bought and what is over.

    >>> supply = Supply("board", "Board", "piece", 6_000_000, (Pack(25_000_000, 6_200),))
    >>> bought = Purchase("board", 27_000_000, 6_000_000, (1,), 25_000_000, 4_000_000, 6_200)
    >>> purchase_line(bought, supply=supply, wording=Wording("EUR")).arithmetic
    '27 pieces needed, 6 on the shelf, 1 pack of 25 for €62.00; 4 pieces left over'
    """
    parts = [f"{micro_words(purchase.needed_micro, supply.unit)} needed"]
    if purchase.from_shelf_micro and purchase.from_shelf_micro == purchase.needed_micro:
        parts.append("all on the shelf")
    elif purchase.from_shelf_micro:
        parts.append(f"{number_words(Fraction(purchase.from_shelf_micro, MICRO))} on the shelf")
    parts += _packs(purchase, supply=supply, wording=wording)
    if not supply.packs and purchase.bought_micro and supply.price_minor is not None:
        per = Fraction(supply.per_micro, MICRO)
        each = "" if per == 1 else f" per {quantity_words(per, supply.unit)}"
        bought = micro_words(purchase.bought_micro, supply.unit)
        parts.append(f"{bought} × {wording.money(supply.price_minor)}{each}")
    over = f"; {micro_words(purchase.left_micro, supply.unit)} left over" if purchase.left_micro else ""
    return CostLine(text=supply.name, arithmetic=", ".join(parts) + over, amount_minor=purchase.cost_minor)


def charge_lines(charge: Charge, *, terms: FinishTerms, wording: Wording) -> tuple[CostLine, ...]:
    """Set-up of a finish and what its works fall short of its least charge; none for what is nothing."""
    lines: list[CostLine] = []
    if charge.setup_minor:
        lines.append(CostLine(f"{terms.name}, set-up", "once for all works in this finish", charge.setup_minor))
    if charge.shortfall_minor:
        come_to = wording.money(terms.least_minor - charge.shortfall_minor)
        words = f"least charge {wording.money(terms.least_minor)} − {come_to} for its works"
        lines.append(CostLine(f"{terms.name}, up to the least charge", words, charge.shortfall_minor))
    return tuple(lines)


def _packs(purchase: Purchase, *, supply: Supply, wording: Wording) -> list[str]:
    words: list[str] = []
    for count, pack in zip(purchase.packs, supply.packs, strict=True):
        size = _pack_size(pack, supply=supply)
        if count == 1:
            words.append(f"1 pack of {size} for {wording.money(pack.price_minor)}")
        elif count:
            words.append(f"{count} packs of {size} at {wording.money(pack.price_minor)} each")
    return words


def _pack_size(pack: Pack, *, supply: Supply) -> str:
    size = Fraction(pack.quantity_micro, MICRO)
    return number_words(size) if supply.unit == "piece" else quantity_words(size, supply.unit)

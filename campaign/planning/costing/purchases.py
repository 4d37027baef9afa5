"""What a choice costs as a whole: supplies bought in whole packs after the shelf, charges of finishes, show cost."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from campaign.planning.errors import NotForSale
from campaign.planning.inputs import FinishTerms, Pack, PlanRequest, Supply
from campaign.planning.results import Charge, Purchase


@dataclass(frozen=True, slots=True)
class PlanCost:
    """
    What a choice costs: `total_minor` = show cost + own costs + purchases + charges.

    `purchases` holds every supply that is needed, in the request's order, also where the shelf has it all;
    `charges` the finishes whose set-up or shortfall is not nothing.
    """

    show_minor: int
    own_minor: int
    purchases: tuple[Purchase, ...]
    charges: tuple[Charge, ...]

    @property
    def total_minor(self) -> int:
        """Everything together."""
        bought = sum(purchase.cost_minor for purchase in self.purchases)
        charged = sum(charge.setup_minor + charge.shortfall_minor for charge in self.charges)
        return self.show_minor + self.own_minor + bought + charged


def cost_of(request: PlanRequest, choice: Sequence[int]) -> PlanCost:
    """
    The whole cost of a choice, one option index per work, -1 for not hung; nothing hung costs nothing.

    Raises: NotForSale when a supply that cannot be bought is needed beyond the shelf.
    """
    hung = [work.options[picked] for work, picked in zip(request.works, choice, strict=True) if picked >= 0]
    needed: dict[str, int] = defaultdict(int)
    own: dict[str, int] = defaultdict(int)
    for option in hung:
        own[option.finish_code] += option.cost_minor
        for need in option.needs:
            needed[need.supply_code] += need.quantity_micro
    charges = [charge_for(terms, own_minor=own[terms.code]) for terms in request.finishes if terms.code in own]
    return PlanCost(
        show_minor=request.show_cost_minor if hung else 0,
        own_minor=sum(own.values()),
        purchases=tuple(purchase(supply, needed[supply.code]) for supply in request.supplies if needed[supply.code]),
        charges=tuple(charge for charge in charges if charge.setup_minor + charge.shortfall_minor),
    )


def charge_for(terms: FinishTerms, *, own_minor: int) -> Charge:
    """What a finish that is used costs beside its works, whose own costs add up to `own_minor`."""
    return Charge(terms.code, terms.setup_minor, max(0, terms.least_minor - own_minor))


def purchase(supply: Supply, needed_micro: int) -> Purchase:
    """
    The cheapest way to have `needed_micro` of a supply: the shelf first, then whole packs or to measure.

    Notes: more packs are bought where that is cheaper. Equal costs: less is bought, then fewer packs of the offers
        that come first.
    Raises: NotForSale when the shelf lacks something that has no price.
    """
    from_shelf = min(needed_micro, supply.shelf_micro)
    lack = needed_micro - from_shelf
    if lack == 0:
        cost, bought, packs = 0, 0, (0,) * len(supply.packs)
    elif supply.packs:
        cost, bought, packs = _cheapest(supply, lack)
    elif supply.price_minor is None:
        raise NotForSale(supply_code=supply.code, lack_micro=lack)
    else:
        cost, bought, packs = -(-lack * supply.price_minor // supply.per_micro), lack, ()
    return Purchase(
        supply_code=supply.code,
        needed_micro=needed_micro,
        from_shelf_micro=from_shelf,
        packs=packs,
        bought_micro=bought,
        left_micro=supply.shelf_micro - from_shelf + bought - lack,
        cost_minor=cost,
    )


Bought = tuple[int, int, tuple[int, ...]]


def _cheapest(supply: Supply, lack_micro: int) -> Bought:
    """Cost, quantity and packs of each offer; sizes are tried largest first, the smallest one takes the rest."""
    sizes = sorted({pack.quantity_micro for pack in supply.packs}, reverse=True)
    known: dict[tuple[int, int], Bought] = {}

    def best(place: int, lack: int) -> Bought:
        if (place, lack) not in known:
            known[place, lack] = decide(place, lack)
        return known[place, lack]

    def decide(place: int, lack: int) -> Bought:
        quantity, is_last = sizes[place], place == len(sizes) - 1
        enough = -(-lack // quantity)
        # Past what is enough, only the first pack of a better price can pay.
        counts = {
            enough,
            *(p.from_count for p in supply.packs if p.quantity_micro == quantity and p.from_count > enough),
        }
        found: list[Bought] = []
        for count in sorted(counts if is_last else counts | set(range(enough))):
            offer = _offer(supply.packs, quantity_micro=quantity, count=count)
            if count and offer is None:
                continue
            rest = max(0, lack - count * quantity)
            others = (0, 0, (0,) * len(supply.packs)) if is_last or not rest else best(place + 1, rest)
            found.append(_with(others, packs=supply.packs, offer=offer if count else None, count=count))
        return min(found)

    return best(0, lack_micro)


def _offer(packs: Sequence[Pack], *, quantity_micro: int, count: int) -> int | None:
    """Index of the offer that sets the price of `count` packs of a size; the cheaper one of two from the same count."""
    fitting = [i for i, pack in enumerate(packs) if pack.quantity_micro == quantity_micro and pack.from_count <= count]
    return max(fitting, key=lambda i: (packs[i].from_count, -packs[i].price_minor, -i), default=None)


def _with(others: Bought, *, packs: Sequence[Pack], offer: int | None, count: int) -> Bought:
    if offer is None:
        return others
    cost, bought, counts = others
    pack = packs[offer]
    taken = tuple(count if i == offer else other for i, other in enumerate(counts))
    return cost + count * pack.price_minor, bought + count * pack.quantity_micro, taken

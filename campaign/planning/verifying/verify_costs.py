"""What a plan must pay, worked out anew for the verifier: supplies after the shelf, charges of finishes, the whole."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from functools import lru_cache

from campaign.planning.inputs import Option, PlanRequest, Supply
from campaign.planning.results import Plan, Purchase

# (from_count, price_minor) of one pack size, by count; the last one reached is the price of every pack.
Prices = tuple[tuple[int, int], ...]


def check_costs(request: PlanRequest, plan: Plan, *, options: Sequence[Option]) -> Iterator[str]:
    """
    Faults in purchases, charges and the sum of a plan.

    Parameters: options, those that the plan hangs.
    """
    needed: Counter[str] = Counter()
    for option in options:
        for need in option.needs:
            needed[need.supply_code] += need.quantity_micro
    yield from _check_purchases(request, plan, needed=needed)
    charges = _charges(request, options=options)
    yield from _check_charges(plan, charges=charges)
    cost = sum(option.cost_minor for option in options) + (request.show_cost_minor if plan.works else 0)
    cost += sum(setup + shortfall for setup, shortfall in charges.values())
    cost += sum(least_cost_minor(supply, needed[supply.code]) or 0 for supply in request.supplies)
    if plan.cost_minor != cost:
        yield f"The plan says it costs {plan.cost_minor}, its parts cost {cost}."
    if cost > max(plan.money_minor, 0):
        yield f"The plan costs {cost} and the money is {plan.money_minor}."


def _check_purchases(request: PlanRequest, plan: Plan, *, needed: Counter[str]) -> Iterator[str]:
    listed = {purchase.supply_code: purchase for purchase in plan.purchases}
    if len(listed) != len(plan.purchases):
        yield "The plan buys one supply in two purchases."
    for code in sorted(listed.keys() - {supply.code for supply in request.supplies}):
        yield f"The plan buys {code}, which is not a supply of the show."
    for supply in request.supplies:
        purchase, quantity = listed.get(supply.code), needed[supply.code]
        if purchase is None:
            if quantity:
                yield f"The plan takes {quantity} of {supply.code} and does not say from where."
        elif not quantity:
            yield f"The plan lists {supply.code} and no work takes any."
        else:
            yield from _check_purchase(supply, purchase=purchase, quantity=quantity)
        if least_cost_minor(supply, quantity) is None:
            yield f"{supply.code} cannot be bought: {quantity} needed and {supply.shelf_micro} on the shelf."


def _check_purchase(supply: Supply, *, purchase: Purchase, quantity: int) -> Iterator[str]:
    """One purchase against what the works take."""
    code, lacking = supply.code, max(quantity - supply.shelf_micro, 0)
    if purchase.needed_micro != quantity:
        yield f"{code}: the plan says {purchase.needed_micro} is needed, the works take {quantity}."
    if purchase.from_shelf_micro != quantity - lacking:
        yield f"{code}: {purchase.from_shelf_micro} from the shelf, where {quantity - lacking} comes first."
    if len(purchase.packs) != len(supply.packs) or min(purchase.packs, default=0) < 0:
        yield f"{code}: the packs bought are not those on offer."
        return
    bought = lacking
    if supply.packs:
        bought = sum(n * pack.quantity_micro for n, pack in zip(purchase.packs, supply.packs, strict=True))
    if purchase.bought_micro != bought:
        yield f"{code}: the plan says {purchase.bought_micro} is bought, its packs hold {bought}."
    if bought < lacking:
        yield f"{code}: {bought} is bought and {lacking} is lacking."
    left = supply.shelf_micro + bought - quantity
    if purchase.left_micro != left:
        yield f"{code}: the plan says {purchase.left_micro} is left, it is {left}."
    yield from _check_price(supply, purchase=purchase, quantity=quantity, bought=bought)


def _check_price(supply: Supply, *, purchase: Purchase, quantity: int, bought: int) -> Iterator[str]:
    """What the packs cost, and that nothing cheaper would do."""
    code = supply.code
    price, least = _paid_minor(supply, packs=purchase.packs, bought=bought), least_cost_minor(supply, quantity)
    if price is None:
        yield f"{code}: it is not sold in these numbers."
        return
    if purchase.cost_minor != price:
        yield f"{code}: the plan says its packs cost {purchase.cost_minor}, they cost {price}."
    if least is not None and price != least:
        yield f"{code}: bought for {price}, the cheapest way is {least}."


def _charges(request: PlanRequest, *, options: Sequence[Option]) -> dict[str, tuple[int, int]]:
    """Set-up and shortfall of every finish used that costs either."""
    own: Counter[str] = Counter()
    for option in options:
        own[option.finish_code] += option.cost_minor
    charges = {}
    for terms in request.finishes:
        if terms.code in own:
            due = (terms.setup_minor, max(terms.least_minor - own[terms.code], 0))
            if any(due):
                charges[terms.code] = due
    return charges


def _check_charges(plan: Plan, *, charges: dict[str, tuple[int, int]]) -> Iterator[str]:
    listed = {charge.finish_code: (charge.setup_minor, charge.shortfall_minor) for charge in plan.charges}
    if len(listed) != len(plan.charges):
        yield "The plan charges one finish twice."
    for code in sorted(charges.keys() | listed.keys()):
        due, said = charges.get(code, (0, 0)), listed.get(code)
        if said != charges.get(code):
            yield f"{code} costs {due[0]} to set up and {due[1]} more; the plan says {said or 'nothing'}."


def _paid_minor(supply: Supply, *, packs: Sequence[int], bought: int) -> int | None:
    """Price of these packs, None where the offers do not sell them like that."""
    if not supply.packs:
        return _to_measure_minor(supply, bought)
    counts: Counter[int] = Counter()
    used: defaultdict[int, set[int]] = defaultdict(set)
    for n, pack in zip(packs, supply.packs, strict=True):
        if n:
            counts[pack.quantity_micro] += n
            used[pack.quantity_micro].add(pack.from_count)
    total = 0
    for size, prices in _offers(supply):
        n = counts[size]
        reached = [(from_count, price) for from_count, price in prices if from_count <= n]
        if n and (not reached or used[size] != {reached[-1][0]}):
            return None
        total += n * reached[-1][1] if n else 0
    return total


def _to_measure_minor(supply: Supply, quantity: int) -> int | None:
    if quantity <= 0:
        return 0
    return None if supply.price_minor is None else -(-quantity * supply.price_minor // supply.per_micro)


@lru_cache(maxsize=4096)
def least_cost_minor(supply: Supply, quantity_micro: int) -> int | None:
    """
    The least that this quantity costs after the shelf; None when it cannot be had.

    Every number of packs of every size is tried, save those that the best price per unit already rules out.
    """
    lacking = quantity_micro - supply.shelf_micro
    if lacking <= 0 or not supply.packs:
        return _to_measure_minor(supply, lacking)
    return _cheapest(_offers(supply), lacking=lacking, most=None)


@lru_cache(maxsize=256)
def _offers(supply: Supply) -> tuple[tuple[int, Prices], ...]:
    """Pack sizes, largest first, each with its prices by count; of two prices for one count the lower."""
    prices: defaultdict[int, dict[int, int]] = defaultdict(dict)
    for pack in supply.packs:
        known = prices[pack.quantity_micro].get(pack.from_count)
        if known is None or pack.price_minor < known:
            prices[pack.quantity_micro][pack.from_count] = pack.price_minor
    return tuple((size, tuple(sorted(prices[size].items()))) for size in sorted(prices, reverse=True))


def _cheapest(offers: Sequence[tuple[int, Prices]], *, lacking: int, most: int | None) -> int | None:
    """Least cost of at least `lacking` from these sizes if it is below `most`, else None."""
    if lacking <= 0:
        return 0 if most is None or most > 0 else None
    # A quantity never costs less than at the best price per unit of the sizes that are left.
    if not offers or (
        most is not None and all(min(price for _, price in prices) * lacking >= most * size for size, prices in offers)
    ):
        return None
    (size, prices), smaller = offers[0], offers[1:]
    enough, best = -(-lacking // size), None
    counts = {n for n, _ in prices if n > enough} | set(range(enough + 1) if smaller else (0, enough))
    for n in sorted(counts, reverse=True):
        reached = [price for from_count, price in prices if from_count <= n]
        if n and not reached:
            continue
        paid = n * reached[-1] if n else 0
        if most is not None and paid >= most:
            continue
        rest = _cheapest(smaller, lacking=lacking - n * size, most=None if most is None else most - paid)
        if rest is not None:
            best = most = paid + rest
    return best

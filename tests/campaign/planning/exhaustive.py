"""
The slow truth: every choice of a small show tried, every way to hang and to buy it tried; for comparison only.

Written from the definition of feasible alone: nothing of the package's choosing, buying, placing or checking is used.
"""

import itertools
from functools import cache

from tests.bench.rooms import pieces_of


def staircase_by_trying(request):
    """
    All steps as (money, worth, choice).

    Ties go to fewer works that are worth nothing, then fewer finishes, then the earlier work, the earlier option.
    """
    found = []
    for choice in itertools.product(*([*range(len(work.options)), -1] for work in request.works)):
        hung = [(work, work.options[i]) for work, i in zip(request.works, choice, strict=True) if i >= 0]
        if hung and not _keeps_rules(request, hung):
            continue
        money = cost_by_trying(request, [option for _, option in hung])
        if money is not None:
            finishes = len({option.finish_code for _, option in hung})
            worth = sum(option.worth for _, option in hung)
            fillers = sum(option.worth == 0 for _, option in hung)
            own_order = tuple(i if i >= 0 else 10**6 for i in choice)
            found.append(((money, -worth, fillers, finishes, own_order), choice, hung))
    pieces = pieces_of(request)
    steps = []
    for (money, negative, *_), choice, hung in sorted(found, key=lambda entry: entry[0]):
        if (not steps or -negative > steps[-1][1]) and hangs(request, hung, pieces=pieces):
            steps.append((money, -negative, choice))
    return steps


def _keeps_rules(request, hung):
    """Everything but money and walls."""
    hanging = {work.code for work, _ in hung}
    finishes = {option.finish_code for _, option in hung}
    series = {(work.series, option.finish_code) for work, option in hung if work.series}
    return (
        all(work.code in hanging for work in request.works if work.must_hang)
        and sum(option.printer_seconds for _, option in hung) <= request.printer_seconds
        and (request.lead_days is None or all(option.lead_days <= request.lead_days for _, option in hung))
        and (request.most_finishes is None or len(finishes) <= request.most_finishes)
        and (not request.series_share_finish or len(series) == len({name for name, _ in series}))
    )


# What a choice costs


def cost_by_trying(request, options):
    """Show cost, own costs, charges and the cheapest purchases; None when a supply cannot be had."""
    if not options:
        return 0
    total = request.show_cost_minor + sum(option.cost_minor for option in options)
    for terms in request.finishes:
        own = [option.cost_minor for option in options if option.finish_code == terms.code]
        if own:
            total += terms.setup_minor + max(0, terms.least_minor - sum(own))
    for supply in request.supplies:
        taken = [need.quantity_micro for option in options for need in option.needs if need.supply_code == supply.code]
        bought = cheapest_by_trying(supply, sum(taken))
        if bought is None:
            return None
        total += bought
    return total


@cache
def cheapest_by_trying(supply, quantity):
    """Every number of packs of every size, far enough to reach every price step."""
    lacking = max(quantity - supply.shelf_micro, 0)
    if not supply.packs:
        if lacking and supply.price_minor is None:
            return None
        return -(-lacking * (supply.price_minor or 0) // supply.per_micro)
    sizes = sorted({pack.quantity_micro for pack in supply.packs})
    most = max(pack.from_count for pack in supply.packs)
    best = None
    for counts in itertools.product(*(range(-(-lacking // size) + most + 1) for size in sizes)):
        if sum(count * size for count, size in zip(counts, sizes, strict=True)) < lacking:
            continue
        prices = [_price(supply, size, count) for count, size in zip(counts, sizes, strict=True)]
        if None not in prices and (best is None or sum(prices) < best):
            best = sum(prices)
    return best


def _price(supply, size, count):
    reached = [p for p in supply.packs if p.quantity_micro == size and p.from_count <= count]
    if count == 0:
        return 0
    return count * max(reached, key=lambda p: (p.from_count, -p.price_minor)).price_minor if reached else None


# Whether a choice hangs


def hangs(request, hung, *, pieces):
    """Whether some place for every work keeps gaps, pins, pairs and sets."""
    fixed = [(work, option) for work, option in hung if work.pin and work.pin.middle_x_mm is not None]
    free = [(work, option) for work, option in hung if not (work.pin and work.pin.middle_x_mm is not None)]
    slots = _slots(request, fixed, pieces=pieces)
    if slots is None:
        return False
    rooms = [slot["room"] for slot in slots]
    inside = [list(slot["inside"]) for slot in slots]

    def settle(k):
        if k == len(free):
            return _keeps_company(request, slots, inside)
        work, option = free[k]
        for place, slot in enumerate(slots):
            takes = option.width_mm + slot["gap"]
            fits = option.height_mm <= slot["tallest"] and takes <= rooms[place]
            if fits and not slot["is_fixed"] and (work.pin is None or work.pin.wall_code == slot["wall"]):
                rooms[place] -= takes
                inside[place].append(work.code)
                if settle(k + 1):
                    return True
                inside[place].pop()
                rooms[place] += takes
        return False

    return settle(0)


def _slots(request, fixed, *, pieces):
    """Pieces cut at the works that are pinned to a place, in order; those works are slots of their own."""
    slots, placed = [], 0
    for wall, row, start, end, tallest in pieces:
        gap = request.min_gap_mm if wall.min_gap_mm is None else wall.min_gap_mm
        here = []
        for work, option in fixed:
            left = work.pin.middle_x_mm - option.width_mm // 2
            right = left + option.width_mm
            if (work.pin.wall_code, work.pin.row) == (wall.code, row) and start + gap <= left and right + gap <= end:
                if option.height_mm > tallest:
                    return None
                here.append((left, right, work.code))
        placed += len(here)
        edges = [(start, start, None), *sorted(here), (end, end, None)]
        for (_, before, code), (after, _, _) in itertools.pairwise(edges):
            if code is not None:
                slots.append(_slot(wall, row, gap=gap, tallest=0, room=0, inside=(code,)))
            if after - before < gap:
                if code is not None or after != end:  # only a piece that is shorter than one gap may be so short
                    return None
                continue
            slots.append(_slot(wall, row, gap=gap, tallest=tallest, room=after - before - gap, inside=()))
    return slots if placed == len(fixed) else None


def _slot(wall, row, *, gap, tallest, room, inside):
    is_fixed = bool(inside)
    return {
        "wall": wall.code,
        "row": row,
        "gap": gap,
        "tallest": tallest,
        "room": room,
        "inside": inside,
        "is_fixed": is_fixed,
    }


def _keeps_company(request, slots, inside):
    """Sets on one wall; some order of every row in which no pair that must be apart is side by side."""
    walls = {code: slot["wall"] for slot, codes in zip(slots, inside, strict=True) for code in codes}
    for group in request.together:
        if len({walls[code] for code in group if code in walls}) > 1:
            return False
    rows = {}
    for slot, codes in zip(slots, inside, strict=True):
        rows.setdefault((slot["wall"], slot["row"]), []).append(codes)
    apart = {frozenset(pair) for pair in request.apart}
    return all(_has_order(row, apart=apart) for row in rows.values())


def _has_order(row, *, apart):
    codes = {code for slot in row for code in slot}
    if not any(pair <= codes for pair in apart):
        return True
    for orders in itertools.product(*(itertools.permutations(slot) for slot in row)):
        line = [code for order in orders for code in order]
        if not any(frozenset(pair) in apart for pair in itertools.pairwise(line)):
            return True
    return False

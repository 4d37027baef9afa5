"""
The peer for a whole show: one budget as a mixed-integer model for HiGHS, written from the definition of feasible.

Exact for shows whose `apart` pairs have no work in common and whose stretches hold at most one work that is pinned to
a place; others are refused. Sums of money and lengths are whole; supplies are counted in their common measure.
"""

import itertools
from collections import defaultdict
from dataclasses import dataclass
from math import gcd, isfinite

import highspy
import numpy as np

from campaign.planning import PlanRequest
from tests.bench.rooms import pieces_of


@dataclass(frozen=True, slots=True)
class Solved:
    """What the solver found at one budget: a show worth `worth`, none worth more than `bound`."""

    worth: int
    bound: int

    @property
    def proved(self) -> bool:
        """Whether nothing better can exist."""
        return self.worth == self.bound


@dataclass(frozen=True, slots=True)
class Slot:
    """
    Where free works may hang in one row, in the row's order; `pinned` is the work that shapes it.

    The kinds: "whole" holds works when the pinned one does not hang, "left" and "right" beside it, "self" the pinned
    work alone.
    """

    wall: str
    row: int
    start: int
    end: int
    tallest: int
    gap: int
    kind: str = "whole"
    pinned: int = -1


class Rows:
    """A model under construction: columns with costs and bounds, rows with bounds."""

    def __init__(self):
        self.costs, self.lower, self.upper, self.whole = [], [], [], []
        self.row_lower, self.row_upper, self.starts, self.columns, self.values = [], [], [0], [], []

    def column(self, *, upper=1.0, worth=0, whole=True):
        self.costs.append(-float(worth))
        self.lower.append(0.0)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.costs) - 1

    def row(self, terms, *, least=-highspy.kHighsInf, most=highspy.kHighsInf):
        """One row from (column, value) pairs; a column may come more than once."""
        summed = defaultdict(float)
        for column, value in terms:
            summed[column] += float(value)
        self.columns.extend(summed)
        self.values.extend(summed.values())
        self.starts.append(len(self.columns))
        self.row_lower.append(float(least))
        self.row_upper.append(float(most))

    def as_lp(self):
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.costs), len(self.row_lower)
        lp.col_cost_, lp.col_lower_, lp.col_upper_ = (np.array(v) for v in (self.costs, self.lower, self.upper))
        lp.row_lower_, lp.row_upper_ = np.array(self.row_lower), np.array(self.row_upper)
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in self.whole]
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(self.starts)
        lp.a_matrix_.index_ = np.array(self.columns)
        lp.a_matrix_.value_ = np.array(self.values)
        return lp


def make_full_model(request: PlanRequest, *, money_minor: int) -> highspy.HighsLp:
    """The whole definition for one sum of money, most worth first."""
    rows = Rows()
    slots = _slots(request)
    hung, chosen = _choose(rows, request, slots=slots)
    _keep_lengths(rows, request, slots=slots, hung=hung, chosen=chosen)
    _keep_company(rows, request, slots=slots, hung=hung)
    any_hangs = rows.column()
    for work, options in zip(request.works, chosen, strict=True):
        terms = [(column, 1) for column, _ in options]
        rows.row([*terms, (any_hangs, -1)], most=0)
        if work.must_hang:
            rows.row([*terms, (any_hangs, -1)], least=0)
    flat = [pair for options in chosen for pair in options]
    rows.row([(column, option.printer_seconds) for column, option in flat], most=request.printer_seconds)
    spent = [(column, option.cost_minor) for column, option in flat] + [(any_hangs, request.show_cost_minor)]
    spent += _finishes(rows, request, chosen=chosen) + _supplies(rows, request, flat=flat)
    rows.row(spent, most=money_minor)
    return rows.as_lp()


def _slots(request):
    """All slots in order, wall by wall and row by row; pinned works by their index in the request."""
    slots = []
    for wall, row, start, end, tallest in pieces_of(request):
        gap = wall.gap_mm(otherwise_mm=request.min_gap_mm)
        here = [
            index
            for index, work in enumerate(request.works)
            if work.pin
            and work.pin.middle_x_mm is not None
            and (work.pin.wall_code, work.pin.row) == (wall.code, row)
            and start <= work.pin.middle_x_mm < end
        ]
        if len(here) > 1:
            raise ValueError("The model takes one pinned place per stretch.")
        piece = (wall.code, row, start, end, tallest, gap)
        kinds = [("whole", here[0]), ("left", here[0]), ("self", here[0]), ("right", here[0])] if here else []
        slots.extend(Slot(*piece, kind, index) for kind, index in kinds or [("whole", -1)])
    return slots


def _choose(rows, request, *, slots):
    """
    A column per work, option and slot, one of them at most per work.

    Returns: hung[work][slot] and chosen[work], each a list of (column, option).
    """
    hung, chosen = [], []
    for index, work in enumerate(request.works):
        by_slot, all_columns = defaultdict(list), []
        for option in work.options:
            if request.lead_days is not None and option.lead_days > request.lead_days:
                continue
            for place, slot in enumerate(slots):
                if _may_hang(index, work=work, option=option, slot=slot):
                    column = rows.column(worth=option.worth)
                    by_slot[place].append((column, option))
                    all_columns.append((column, option))
        rows.row([(column, 1) for column, _ in all_columns], most=1)
        hung.append(by_slot)
        chosen.append(all_columns)
    return hung, chosen


def _may_hang(index, *, work, option, slot):
    """Whether one option fits one slot by itself."""
    if option.height_mm > slot.tallest:
        return False
    if work.pin and work.pin.middle_x_mm is not None:
        left = work.pin.middle_x_mm - option.width_mm // 2
        inside = slot.start + slot.gap <= left and left + option.width_mm + slot.gap <= slot.end
        return slot.kind == "self" and slot.pinned == index and inside
    on_wall = work.pin is None or work.pin.wall_code == slot.wall
    return slot.kind != "self" and on_wall and option.width_mm + 2 * slot.gap <= slot.end - slot.start


def _keep_lengths(rows, request, *, slots, hung, chosen):
    """Every slot holds its works and their gaps; what is beside a pinned work is as long as that work leaves."""
    for place, slot in enumerate(slots):
        if slot.kind == "self":
            continue
        terms = [(column, option.width_mm + slot.gap) for by_slot in hung for column, option in by_slot.get(place, ())]
        room = max(slot.end - slot.start - slot.gap, 0)
        if slot.pinned < 0:
            rows.row(terms, most=room)
            continue
        middle, pinned = request.works[slot.pinned].pin.middle_x_mm, chosen[slot.pinned]
        if slot.kind == "whole":
            rows.row([*terms, *((column, room) for column, _ in pinned)], most=room)
        for column, option in pinned if slot.kind != "whole" else ():
            left = middle - option.width_mm // 2
            free = left - slot.start if slot.kind == "left" else slot.end - left - option.width_mm
            terms.append((column, slot.gap - free))
        if slot.kind != "whole":
            rows.row(terms, most=0)


def _keep_company(rows, request, *, slots, hung):
    """Pairs apart: with both in a row, a third work from the one's slot to the other's. Sets: one wall."""
    named = [code for pair in request.apart for code in pair]
    if len(set(named)) != len(named):
        raise ValueError("The model takes pairs that have no work in common.")
    at = {work.code: index for index, work in enumerate(request.works)}
    in_slot = [[[c for c, _ in by_slot.get(place, ())] for place in range(len(slots))] for by_slot in hung]
    row_of = [(slot.wall, slot.row) for slot in slots]
    spans = [(s, t) for s, t in itertools.combinations_with_replacement(range(len(slots)), 2) if row_of[s] == row_of[t]]
    for one, other in request.apart:
        for left, right in ((at[one], at[other]), (at[other], at[one])):
            for s, t in spans:
                if in_slot[left][s] and in_slot[right][t]:
                    works = [(c, 1) for by_slot in in_slot for place in range(s, t + 1) for c in by_slot[place]]
                    both = [(c, -3) for c in (*in_slot[left][s], *in_slot[right][t])]
                    rows.row([*works, *both], least=-3)
    for group in request.together:
        walls = {wall.code: rows.column() for wall in request.walls}
        rows.row([(column, 1) for column in walls.values()], most=1)
        for index in (at[code] for code in group):
            for wall, column in walls.items():
                terms = [(c, 1) for place, slot in enumerate(slots) if slot.wall == wall for c in in_slot[index][place]]
                rows.row([*terms, (column, -1)], most=0)


def _finishes(rows, request, *, chosen):
    """Which finishes are used, per series too; returns what they add to the money spent."""
    terms = {one.code: one for one in request.finishes}
    of_finish = defaultdict(lambda: defaultdict(list))
    for index, options in enumerate(chosen):
        for column, option in options:
            of_finish[option.finish_code][index].append((column, option))
    spent, used = [], {code: rows.column() for code in sorted(of_finish)}
    for code, works in of_finish.items():
        for options in works.values():
            rows.row([*((column, 1) for column, _ in options), (used[code], -1)], most=0)
        if code in terms:
            spent.append((used[code], terms[code].setup_minor))
            if terms[code].least_minor:
                short = rows.column(upper=float(terms[code].least_minor), whole=False)
                own = [(column, option.cost_minor) for options in works.values() for column, option in options]
                rows.row([(short, 1), *own, (used[code], -terms[code].least_minor)], least=0)
                spent.append((short, 1))
    if request.most_finishes is not None:
        rows.row([(column, 1) for column in used.values()], most=request.most_finishes)
    if request.series_share_finish:
        _series(rows, request, of_finish=of_finish)
    return spent


def _series(rows, request, *, of_finish):
    for series in sorted({work.series for work in request.works if work.series}):
        in_finish = {code: rows.column() for code in of_finish}
        rows.row([(column, 1) for column in in_finish.values()], most=1)
        for code, works in of_finish.items():
            for index, options in works.items():
                if request.works[index].series == series:
                    rows.row([*((column, 1) for column, _ in options), (in_finish[code], -1)], most=0)


def _supplies(rows, request, *, flat):
    """Packs of every supply, price steps as offers of which one is taken; returns what they add to the money."""
    spent = []
    for supply in request.supplies:
        needs = [
            (column, need.quantity_micro)
            for column, option in flat
            for need in option.needs
            if need.supply_code == supply.code
        ]
        if not needs:
            continue
        if supply.packs:
            spent += _packs(rows, supply, needs=needs)
        elif supply.price_minor is None:
            rows.row(needs, most=supply.shelf_micro)
        else:
            measure = gcd(supply.shelf_micro, supply.per_micro, *(quantity for _, quantity in needs))
            paid = rows.column(upper=highspy.kHighsInf)
            terms = [(column, -quantity // measure * supply.price_minor) for column, quantity in needs]
            rows.row(
                [(paid, supply.per_micro // measure), *terms],
                least=-(supply.shelf_micro // measure) * supply.price_minor,
            )
            spent.append((paid, 1))
    return spent


def _packs(rows, supply, *, needs):
    measure = gcd(supply.shelf_micro, *(q for _, q in needs), *(pack.quantity_micro for pack in supply.packs))
    most_needed = sum(quantity for _, quantity in needs)
    bought, spent = [], []
    for size in sorted({pack.quantity_micro for pack in supply.packs}):
        steps = sorted((pack.from_count, pack.price_minor) for pack in supply.packs if pack.quantity_micro == size)
        last = -(-most_needed // size) + steps[-1][0]
        taken = []
        for (from_count, price), (following, _) in zip(steps, [*steps[1:], (last + 1, 0)], strict=True):
            count = rows.column(upper=float(following - 1))
            bought.append((count, size // measure))
            spent.append((count, price))
            if len(steps) > 1 or from_count > 1:
                reached = rows.column()
                taken.append((reached, 1))
                rows.row([(count, 1), (reached, -(following - 1))], most=0)
                rows.row([(count, 1), (reached, -from_count)], least=0)
        if taken:
            rows.row(taken, most=1)
    rows.row(
        [*bought, *((column, -quantity // measure) for column, quantity in needs)],
        least=-(supply.shelf_micro // measure),
    )
    return spent


def load_full(model: highspy.HighsLp, *, time_limit_s: float | None = None, exact: bool = True) -> highspy.Highs:
    """A solver with the model in it, one thread; `exact` asks for the last point of worth."""
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    if exact:
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 0.99)
    if time_limit_s is not None:
        solver.setOptionValue("time_limit", time_limit_s)
    solver.passModel(model)
    return solver


def read_solved(solver: highspy.Highs, *, request: PlanRequest) -> Solved:
    """What a solver that has run found; nothing hung is always a show, and everything hung always a bound."""
    info = solver.getInfo()
    has_show = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    worth = -round(info.objective_function_value) if has_show else 0
    most = sum(max((option.worth for option in work.options), default=0) for work in request.works)
    is_optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    bound = -info.mip_dual_bound if isfinite(info.mip_dual_bound) else worth if is_optimal else most
    return Solved(worth=worth, bound=max(int(min(bound, most) + 1e-6), worth))


def solve_full(request: PlanRequest, *, money_minor: int, time_limit_s: float) -> Solved:
    """The best show for one sum of money, or the best found in time with its bound."""
    solver = load_full(make_full_model(request, money_minor=money_minor), time_limit_s=time_limit_s)
    solver.run()
    return read_solved(solver, request=request)

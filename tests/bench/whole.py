"""Rows for whole shows (packs, rows of walls, pins, pairs, series, a cap on finishes) against one solve of it all."""

from statistics import median
from time import perf_counter

from campaign.planning import PlanRequest, Staircase, build_staircase
from tests.bench.full_model import Solved, load_full, make_full_model, read_solved
from tests.bench.memory import peak_mib
from tests.bench.rows import Row
from tests.bench.whole_shows import whole_show

ROUNDS = 3
SIZES = ((30, 1000.0), (60, 5000.0))  # works, and the guide in milliseconds on two slow cores
# A solve that takes longer is stopped: the ratio is then even smaller than the one that is said.
SOLVE_LIMIT_S = 10.0
MOST_RATIO = 10.0


def whole_rows() -> list[Row]:
    """The whole staircase of 30 and of 60 works against one solve at mid budget, alternately, and what it takes."""
    rows = []
    for works, guide_ms in SIZES:
        request = whole_show(works=works, seed=1)
        staircase = build_staircase(request)
        ours, solve, solved = _compare(request, money_minor=staircase.steps[-1].money_minor // 2)
        what = f"whole show, {works} works, {len(staircase.steps)} steps"
        stopped = "" if solved.proved else f", stopped at {SOLVE_LIMIT_S:g} s"
        rows.append(Row(what, ours, solve, "ms", f"one HiGHS solve at mid budget{stopped}", MOST_RATIO))
        rows.append(Row("   the same against the guide", ours, guide_ms, "ms", "guide", None))
        rows.append(_contradictions(staircase, solved=solved, money_minor=staircase.steps[-1].money_minor // 2))
        rows.append(_unproved(staircase))
        before, peak = peak_mib(works=works, seed=1)
        rows.append(Row("   its peak memory", peak, before, "MiB", "before it began", None))
    return rows


def _compare(request: PlanRequest, *, money_minor: int) -> tuple[float, float, Solved]:
    """Medians in milliseconds: our whole staircase, one solve; and what the solver found."""
    ours, solves = [], []
    for _ in range(ROUNDS):
        start = perf_counter()
        build_staircase(request)
        ours.append(perf_counter() - start)
        solver = load_full(make_full_model(request, money_minor=money_minor), time_limit_s=SOLVE_LIMIT_S, exact=False)
        start = perf_counter()
        solver.run()
        solves.append(perf_counter() - start)
    return 1000 * median(ours), 1000 * median(solves), read_solved(solver, request=request)


def _contradictions(staircase: Staircase, *, solved: Solved, money_minor: int) -> Row:
    """Neither side may find more than the other says can be."""
    step = staircase.at(money_minor)
    wrong = (step.worth > solved.bound) + (solved.worth > step.bound_worth)
    what = f"   mid budget: ours {step.worth} of at most {step.bound_worth}, HiGHS {solved.worth} of {solved.bound}"
    return Row(what, float(wrong), 1.0, "", "contradictions", 0.0)


def _unproved(staircase: Staircase) -> Row:
    """Steps that carry a bound above their worth, and how far above at most from mid budget up."""
    still_open = sum(not step.proved for step in staircase.steps)
    what = f"   steps not proved; from mid budget up at most {widest_gap(staircase):.1f} % above"
    return Row(what, float(still_open), float(len(staircase.steps)), "", "steps", None)


def widest_gap(staircase: Staircase) -> float:
    """The furthest a bound lies above its step, in per cent of the step's worth, from half of all the money up."""
    half = staircase.steps[-1].money_minor / 2
    upper = [step for step in staircase.steps if step.money_minor >= half]
    return max(100 * (step.bound_worth / max(step.worth, 1) - 1) for step in upper)

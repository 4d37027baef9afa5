"""What the bench measures: each function gives rows of one table; both sides run alternately in one process."""

from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import perf_counter

from campaign.planning import PlanRequest, build_staircase
from tests.bench.shows import mixed_show, stepped_show
from tests.bench.solver import best_worth, load, make_model

ROUNDS = 5
SEEDS = (1, 2, 3)
BUDGETS_CHECKED = 20


@dataclass(frozen=True, slots=True)
class Row:
    """
    One line: ours against a peer or a limit, in `unit`.

    `bar` is the largest ratio allowed, with `is_floor` the smallest one; None to report only.
    """

    what: str
    ours: float
    peer: float
    unit: str
    peer_is: str
    bar: float | None
    is_floor: bool = False

    @property
    def ratio(self) -> float:
        """Ours over the peer."""
        return self.ours / self.peer

    @property
    def passed(self) -> bool:
        """Whether the bar is met; a row without one always is."""
        if self.bar is None:
            return True
        return self.ratio >= self.bar if self.is_floor else self.ratio <= self.bar

    @property
    def bar_words(self) -> str:
        """The bar as the table says it."""
        return "-" if self.bar is None else f"{'>=' if self.is_floor else '<='} {self.bar:g}"


def _seconds(act: Callable[[], object]) -> float:
    start = perf_counter()
    act()
    return perf_counter() - start


def _compare(request: PlanRequest, *, money_minor: int) -> tuple[float, float, float]:
    """Medians in milliseconds: our whole staircase, one solve without and with making the model."""
    ours, solves, wholes = [], [], []
    for _ in range(ROUNDS):
        ours.append(_seconds(lambda: build_staircase(request)))
        start = perf_counter()
        solver = load(make_model(request, money_minor=money_minor))
        made = perf_counter()
        solver.run()
        solves.append(perf_counter() - made)
        wholes.append(perf_counter() - start)
    return 1000 * median(ours), 1000 * median(solves), 1000 * median(wholes)


def staircase_rows() -> list[Row]:
    """Whole staircase of 30 works x 6 options against one solve at mid budget, and the same optimum at 20 budgets."""
    rows = []
    for name, make in (("stepped", stepped_show), ("mixed", mixed_show)):
        for seed in SEEDS:
            request = make(works=30, seed=seed)
            staircase = build_staircase(request)
            top = staircase.steps[-1].money_minor
            best_worth(request, money_minor=top // 2)
            ours, solve, whole = _compare(request, money_minor=top // 2)
            what = f"whole staircase, 30 works x 6 options, {name} {seed}, {len(staircase.steps)} steps"
            rows.append(Row(what, ours, solve, "ms", "one HiGHS solve at mid budget", 5.0))
            rows.append(
                Row("   the same, making the model included", ours, whole, "ms", "one HiGHS model and solve", None)
            )
            budgets = [top * k // BUDGETS_CHECKED for k in range(1, BUDGETS_CHECKED + 1)]
            other = sum(staircase.at(m).worth != best_worth(request, money_minor=m) for m in budgets)
            unproved = sum(not step.proved for step in staircase.steps)
            rows.append(
                Row(
                    f"   other optima at {BUDGETS_CHECKED} budgets, steps unproved",
                    other + unproved,
                    1,
                    "",
                    "none",
                    0.0,
                )
            )
    return rows


def look_up_rows() -> list[Row]:
    """One look at a stored staircase against the limit of 20 microseconds."""
    staircase = build_staircase(stepped_show(works=30, seed=1))
    top = staircase.steps[-1].money_minor
    asked = [top * k // 1000 for k in range(1000)]

    def look() -> None:
        for money_minor in asked:
            staircase.at(money_minor)

    microseconds = 1e6 * median(_seconds(look) for _ in range(ROUNDS)) / len(asked)
    return [Row("look-up of one step", microseconds, 20.0, "us", "limit", 1.0)]

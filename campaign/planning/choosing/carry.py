"""Shows known from one request, carried over into a changed one: what they cost and are worth there."""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence

from campaign.planning.choosing.choose import quick_staircase
from campaign.planning.choosing.feasible import Choice, Feasibility, worth_of
from campaign.planning.inputs import PlanRequest, WorkOptions
from campaign.planning.results import Staircase, Step


def quick_after(
    staircase: Staircase, *, known: PlanRequest, into: PlanRequest, most: int, sums_minor: Sequence[int] = ()
) -> Staircase:
    """
    The staircase of a changed request found quickly, beginning from the shows known before.

    Parameters and what is said of the answer: as `carry_over`.
    """
    choices = list(_translated(_some(staircase, most=most, sums_minor=sums_minor), known=known, into=into))
    return _joined(choices, into=into, found=quick_staircase(into, known=choices))


def carry_over(
    staircase: Staircase,
    *,
    known: PlanRequest,
    into: PlanRequest,
    found: Staircase,
    most: int | None = None,
    sums_minor: Sequence[int] = (),
) -> Staircase:
    """
    A staircase of the changed request, no worse anywhere than the shows known before.

    Parameters: staircase, of the request `known`; found, of the request `into`, quickly built; works are the same
        work where their code is, options where size and finish are. most, how many steps of `staircase` are looked
        at, evenly spread, all without it; sums_minor, whose steps and the two below are looked at in any case.
    Returns: the best of both by money. Its bounds are those of `found`, raised to the worth where a show that was
        carried over is better than the bound says - which a sound bound never lets happen.
    Notes: a known show that is not feasible any more is left out; of two equal ones that of `found` stays.
    """
    steps = _some(staircase, most=most, sums_minor=sums_minor)
    return _joined(_translated(steps, known=known, into=into), into=into, found=found)


def _joined(choices: Iterable[Choice], *, into: PlanRequest, found: Staircase) -> Staircase:
    test, there = Feasibility(into), {step.choice for step in found.steps}
    shows = [(step.money_minor, -step.worth, step.choice) for step in found.steps]
    worths, money = [step.worth for step in found.steps], [step.money_minor for step in found.steps]
    for choice in choices:
        if choice in there:
            continue
        worth = worth_of(into, choice)
        at = bisect_left(worths, worth)
        # For as much, or less, something at least as good was found: whether this one hangs is not worth a look.
        cost = test.cost_minor(choice, most_minor=money[at] - 1 if at < len(money) else None)
        if cost is not None:
            shows.append((cost, -worth, choice))
    if len(shows) == len(found.steps):
        return found
    return Staircase(steps=tuple(_bounded(_rising(sorted(shows)), found=found)))


def _some(staircase: Staircase, *, most: int | None, sums_minor: Sequence[int]) -> list[Step]:
    """Steps evenly spread over the staircase, and those up to each of the sums."""
    count = len(staircase.steps)
    if most is None or most >= count:
        return list(staircase.steps)
    chosen = {place * (count - 1) // max(most - 1, 1) for place in range(most)}
    for minor in sums_minor:
        last = staircase.index_at(minor)
        chosen.update(range(max(0, last - 2), last + 1))
    return [staircase.steps[place] for place in sorted(chosen)]


def _translated(steps: Sequence[Step], *, known: PlanRequest, into: PlanRequest) -> Iterator[Choice]:
    """The choices of the known steps in terms of the changed request; those that it cannot express are left out."""
    works = {work.code: work for work in known.works}
    places = {work.code: place for place, work in enumerate(known.works)}
    tables = [_table(works.get(work.code), after=work) for work in into.works]
    for step in steps:
        picked = [step.choice[places[work.code]] if work.code in places else -1 for work in into.works]
        if all(index < 0 or index in table for index, table in zip(picked, tables, strict=True)):
            yield tuple(table[index] if index >= 0 else -1 for index, table in zip(picked, tables, strict=True))


def _table(before: WorkOptions | None, *, after: WorkOptions) -> dict[int, int]:
    """From the index of an option before to its index after."""
    indices = {(option.size_code, option.finish_code): index for index, option in enumerate(after.options)}
    options = before.options if before else ()
    pairs = ((index, indices.get((option.size_code, option.finish_code))) for index, option in enumerate(options))
    return {index: now for index, now in pairs if now is not None}


def _rising(shows: Sequence[tuple[int, int, Choice]]) -> Iterator[tuple[int, int, Choice]]:
    """Money, worth and choice of those that are worth more than any cheaper one."""
    best = -1
    for money_minor, negative, choice in shows:
        if -negative > best:
            best = -negative
            yield money_minor, best, choice


def _bounded(shows: Iterator[tuple[int, int, Choice]], *, found: Staircase) -> Iterator[Step]:
    steps = list(shows)
    ends = [money_minor for money_minor, _, _ in steps[1:]]
    for (money_minor, worth, choice), end_minor in zip(steps, [*ends, None], strict=True):
        first = found.index_at(money_minor)
        reached = len(found.steps) if end_minor is None else found.index_at(end_minor - 1) + 1
        bound = max(step.bound_worth for step in found.steps[first:reached])
        yield Step(money_minor, worth, choice, max(bound, worth))

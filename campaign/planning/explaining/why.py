"""Why a work does not hang for a sum of money, and the smallest changes that would hang it; wording is in why_words."""

from collections.abc import Iterator
from dataclasses import dataclass

from campaign.planning.choosing.choose import build_staircase
from campaign.planning.choosing.swaps import swap_in
from campaign.planning.explaining.hangers import Change, Kind
from campaign.planning.explaining.lacks import lacks_of_work
from campaign.planning.explaining.tries import Build, Builder, insist, try_longer_walls, try_more_printing, try_rules
from campaign.planning.inputs import PlanRequest
from campaign.planning.results import Staircase, Step

MOST_STAIRCASES = 14


@dataclass(frozen=True, slots=True)
class Absence:
    """A work that does not hang, and what would hang it: the easiest change first, empty when none was found."""

    code: str
    title: str
    changes: tuple[Change, ...]
    staircases: int = 0  # how many were built to find out


def list_absences(request: PlanRequest, staircase: Staircase, *, money_minor: int) -> tuple[Absence, ...]:
    """
    The works that do not hang for a sum of money, each with what the staircase itself and the measures tell.

    Returns: MONEY, LACK and NO_OPTION changes only; no staircase is built. O(steps x works).
    """
    step = staircase.at(money_minor)
    return tuple(
        Absence(work.code, work.title, tuple(_plain_changes(request, staircase, place=place, money_minor=money_minor)))
        for place, work in enumerate(request.works)
        if step.choice[place] < 0
    )


def explain_absence(
    request: PlanRequest,
    staircase: Staircase,
    *,
    code: str,
    money_minor: int,
    build: Build = build_staircase,
    most_staircases: int = MOST_STAIRCASES,
) -> Absence:
    """
    Everything that would hang one work for a sum of money, each change tried by planning again.

    Parameters: staircase, built from the request, in which the work does not hang at `money_minor`; build, how a
        changed request is planned, possibly faster and less exactly; most_staircases, how often at the most, >= 2.
    Returns: the changes in the order of Kind. A wall's length is found to 10 mm and printer time to a minute: with
        the change the work hangs, with one grain less it does not - where the number of staircases allowed that.
    Notes: deterministic. With a build that is not exact, a smaller change may do; the show with the work is then the
        better one of what it finds and of small exchanges from the staircase.
    """
    place = next(index for index, work in enumerate(request.works) if work.code == code)
    work = request.works[place]
    plain = tuple(_plain_changes(request, staircase, place=place, money_minor=money_minor))
    if any(change.kind in (Kind.LACK, Kind.NO_OPTION) for change in plain):
        return Absence(code, work.title, plain)
    builder = Builder(build, most=most_staircases)
    insisted = builder.staircase(insist(request, place=place))
    now, with_it = staircase.at(money_minor), insisted.at(money_minor)
    swapped = swap_in(request, staircase, place=place, money_minor=money_minor)
    if swapped and (with_it.choice[place] < 0 or swapped.worth > with_it.worth):
        with_it = swapped
    changes = [*plain, *_insisting(request, insisted, place=place, now=now, with_it=with_it, money_minor=money_minor)]
    sums = [change.total for change in plain if change.kind == Kind.MONEY]
    if sums:  # insisting on it for as much money as hangs it anyway would be no news
        changes = [change for change in changes if change.kind != Kind.INSIST_MONEY or change.total < sums[0]]
    if swapped is None and not sums and all(step.choice[place] < 0 for step in insisted.steps):
        changes.extend(try_rules(request, place=place, builder=builder))
    if not builder.hangs(request, place=place, money_minor=money_minor):  # a build that is not exact may differ here
        changes.extend(try_longer_walls(request, place=place, money_minor=money_minor, builder=builder))
        changes.extend(try_more_printing(request, place=place, now=now, money_minor=money_minor, builder=builder))
    order = list(Kind)
    changes.sort(key=lambda change: order.index(change.kind))
    return Absence(code, work.title, tuple(changes), staircases=builder.built)


def _plain_changes(request: PlanRequest, staircase: Staircase, *, place: int, money_minor: int) -> Iterator[Change]:
    work = request.works[place]
    if not work.options:
        yield Change(Kind.NO_OPTION)
        return
    yield from (
        Change(Kind.LACK, one.amount, wall_code=one.wall_code, lacking=one) for one in lacks_of_work(request, work)
    )
    for step in staircase.steps:
        if step.money_minor > money_minor and step.choice[place] >= 0:
            yield Change(Kind.MONEY, step.money_minor - money_minor, step.money_minor)
            return


def _insisting(
    request: PlanRequest, insisted: Staircase, *, place: int, now: Step, with_it: Step, money_minor: int
) -> Iterator[Change]:
    """What the show with the work costs in other works, and from which money on it is no worse."""
    hanging = [step for step in insisted.steps if step.choice[place] >= 0]
    if with_it.choice[place] >= 0:
        picked = with_it.choice[place]
        short = max(now.worth - with_it.worth, 0)
        pairs = zip(request.works, now.choice, with_it.choice, strict=True)
        down = tuple(work.code for work, before, after in pairs if before >= 0 > after)
        own = request.works[place].options[picked].worth
        yield Change(Kind.INSIST, short, taken_down=down, option_index=picked)
        yield Change(Kind.WORTH, short, own + short, option_index=picked)
    no_worse = next((step for step in hanging if step.money_minor > money_minor and step.worth >= now.worth), None)
    if no_worse is not None and (with_it.choice[place] < 0 or with_it.worth < now.worth):
        is_least = with_it.choice[place] < 0 and no_worse is hanging[0]
        yield Change(Kind.INSIST_MONEY, no_worse.money_minor - money_minor, no_worse.money_minor, is_least=is_least)

"""Activities that wait for each other: earliest and latest times, floats, the path that decides. Knows no dates."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from graphlib import CycleError, TopologicalSorter
from typing import Protocol

from campaign.planning.errors import InvalidRequest

Time = int | Fraction


class Counted(StrEnum):
    """What an activity's duration is counted in; one with no duration is a moment and counts nothing."""

    WORKING_DAYS = "working days"
    CALENDAR_DAYS = "calendar days"


@dataclass(frozen=True, slots=True)
class Activity:
    """
    Something that takes `duration` and begins when every activity in `after` has ended.

    Never before `not_before`, and to be over by `not_after`. `fixed` is when it really began and ended: it then waits
    for nothing.
    """

    code: str
    duration: Time
    after: tuple[str, ...] = ()
    not_before: Time | None = None
    not_after: Time | None = None
    counted: Counted = Counted.CALENDAR_DAYS
    fixed: tuple[Time, Time] | None = None

    def __post_init__(self) -> None:
        if self.duration < 0:
            raise InvalidRequest(field="duration", found=self.duration, expected="0 or more")


@dataclass(frozen=True, slots=True)
class Times:
    """
    Earliest and latest start and finish of one activity, and its floats.

    `total_float` is how much it may slip before something ends too late (below zero: it is too late already),
    `free_float` how much before the next activity moves; both are counted as the activity's own duration is.
    """

    earliest_start: Time
    earliest_finish: Time
    latest_start: Time
    latest_finish: Time
    total_float: Time
    free_float: Time


class Measure(Protocol):
    """How durations run along the line of time."""

    def forward(self, activity: Activity, start: Time) -> tuple[Time, Time]:
        """When the activity begins and ends if it may begin at `start`."""

    def backward(self, activity: Activity, finish: Time) -> tuple[Time, Time]:
        """When the activity begins and ends if it must be over by `finish`."""

    def between(self, activity: Activity, start: Time, finish: Time) -> Time:
        """How much of the activity fits between two moments; below zero if they are the wrong way round."""


class PlainMeasure:
    """Every unit of time counts: the textbook's critical path method."""

    def forward(self, activity: Activity, start: Time) -> tuple[Time, Time]:
        return start, start + activity.duration

    def backward(self, activity: Activity, finish: Time) -> tuple[Time, Time]:
        return finish - activity.duration, finish

    def between(self, activity: Activity, start: Time, finish: Time) -> Time:
        return finish - start


def run_network(activities: Sequence[Activity], *, start: Time = 0, measure: Measure | None = None) -> dict[str, Times]:
    """
    Forward and backward pass through a network of activities (critical path method).

    Parameters: activities, in any order, codes that differ; start, before which nothing begins; measure, how
        durations run, every unit by default.
    Returns: times by code, in the activities' order. What has no successor and no `not_after` may last as long as the
        whole.
    Raises: InvalidRequest for a code that is twice there or unknown, or for activities that wait for each other.
    Source: J. E. Kelley, M. R. Walker, Critical-path planning and scheduling, 1959; checked in
        tests/outside/test_cpm.py.

    >>> times = run_network([Activity("a", 2), Activity("b", 5), Activity("c", 1, ("a", "b"))])
    >>> times["a"].total_float, times["c"].earliest_finish
    (3, 6)
    """
    measure = measure or PlainMeasure()
    named = {activity.code: activity for activity in activities}
    order = _in_order(activities)
    early = _forward(order, named=named, start=start, measure=measure)
    followers: dict[str, list[str]] = {code: [] for code in named}
    for activity in activities:
        for code in activity.after:
            followers[code].append(activity.code)
    end = max((finish for _, finish in early.values()), default=start)
    late: dict[str, tuple[Time, Time]] = {}
    for code in reversed(order):
        limits = [late[follower][0] for follower in followers[code]]
        own = named[code].not_after
        limits += [own] if own is not None else []
        late[code] = measure.backward(named[code], min(limits, default=end))
    return {
        code: Times(
            *early[code],
            *late[code],
            total_float=measure.between(activity, early[code][1], late[code][1]),
            free_float=measure.between(
                activity, early[code][1], min([early[follower][0] for follower in followers[code]], default=end)
            ),
        )
        for code, activity in named.items()
    }


def critical_path(activities: Sequence[Activity], *, times: Mapping[str, Times], to: str) -> tuple[str, ...]:
    """
    The activities that decide when `to` can begin at the earliest, in the order they run, `to` the last.

    Where two end at the same latest moment both are on it. What has begun already waits for nothing before it.
    """
    named = {activity.code: activity for activity in activities}
    found, waiting = {to}, [to]
    while waiting:
        activity = named[waiting.pop()]
        before = () if activity.fixed is not None else activity.after
        last = max((times[code].earliest_finish for code in before), default=None)
        fresh = [code for code in before if times[code].earliest_finish == last and code not in found]
        found.update(fresh)
        waiting += fresh
    return tuple(code for code in _in_order(activities) if code in found)


def _in_order(activities: Sequence[Activity]) -> list[str]:
    codes = [activity.code for activity in activities]
    if len(set(codes)) != len(codes):
        raise InvalidRequest(field="activities", found=codes, expected="codes that differ from each other")
    unknown = sorted({code for activity in activities for code in activity.after} - set(codes))
    if unknown:
        raise InvalidRequest(field="after", found=unknown, expected="codes of these activities")
    try:
        return list(TopologicalSorter({activity.code: activity.after for activity in activities}).static_order())
    except CycleError as error:
        raise InvalidRequest(field="after", found=error.args[1], expected="no circle") from error


def _forward(
    order: Sequence[str], *, named: Mapping[str, Activity], start: Time, measure: Measure
) -> dict[str, tuple[Time, Time]]:
    early: dict[str, tuple[Time, Time]] = {}
    for code in order:
        activity = named[code]
        if activity.fixed is not None:
            early[code] = activity.fixed
            continue
        limits = [start, *(early[before][1] for before in activity.after)]
        limits += [activity.not_before] if activity.not_before is not None else []
        early[code] = measure.forward(activity, max(limits))
    return early

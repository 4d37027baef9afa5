"""Durations along the calendar: days as ordinals, each standing for its own morning; some days are off."""

from collections.abc import Collection
from datetime import date, timedelta

from campaign.measures.workdays import is_workday, next_workday, previous_workday
from campaign.planning.days.network import Activity, Counted, Time

ONE_DAY = timedelta(days=1)


class WorkingTime:
    """
    How activities run when weekends and `days_off` do not count as working days.

    A moment is the ordinal of a day and means its morning: what ends on the evening of the 8th ends at the 9th.
    """

    def __init__(self, days_off: Collection[date] = ()) -> None:
        self.days_off = frozenset(days_off)

    def forward(self, activity: Activity, start: Time) -> tuple[Time, Time]:
        """Whole days from `start` on; a working activity begins on a working day and ends on one."""
        first, length = int(start), int(activity.duration)
        if activity.counted is not Counted.WORKING_DAYS or length == 0:
            return first, first + length
        day = next_workday(date.fromordinal(first), self.days_off)
        first = day.toordinal()
        for _ in range(length - 1):
            day = next_workday(day + ONE_DAY, self.days_off)
        return first, day.toordinal() + 1

    def backward(self, activity: Activity, finish: Time) -> tuple[Time, Time]:
        """Whole days up to `finish`."""
        last, length = int(finish), int(activity.duration)
        if activity.counted is not Counted.WORKING_DAYS or length == 0:
            return last - length, last
        day = previous_workday(date.fromordinal(last) - ONE_DAY, self.days_off)
        last = day.toordinal() + 1
        for _ in range(length - 1):
            day = previous_workday(day - ONE_DAY, self.days_off)
        return day.toordinal(), last

    def between(self, activity: Activity, start: Time, finish: Time) -> Time:
        """Days that the activity could work on between two mornings; below zero if they are the wrong way round."""
        first, last = sorted((int(start), int(finish)))
        days = last - first
        if activity.counted is Counted.WORKING_DAYS and activity.duration:
            days = sum(is_workday(date.fromordinal(day), self.days_off) for day in range(first, last))
        return days if start <= finish else -days

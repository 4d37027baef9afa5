"""What a level would be, before it is published: read off the staircase."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from campaign.models import Show
from campaign.planning import Staircase


@dataclass(frozen=True, slots=True)
class LevelOutlook:
    """
    A sum and the show it buys.

    `unused_minor` is what the level asks for beyond the show it buys: a level that stands on a step leaves nothing.
    """

    name: str
    money_minor: int
    works: int
    cost_minor: int
    worth: int
    unused_minor: int


def outlook_of_levels(staircase: Staircase, *, levels: Sequence[tuple[str, int]]) -> tuple[LevelOutlook, ...]:
    """What each (name, money) buys, cheapest first."""
    return tuple(
        LevelOutlook(
            name=name,
            money_minor=money_minor,
            works=sum(index >= 0 for index in step.choice),
            cost_minor=step.money_minor,
            worth=step.worth,
            unused_minor=money_minor - step.money_minor,
        )
        for name, money_minor in sorted(levels, key=lambda level: level[1])
        for step in (staircase.at(money_minor),)
    )


def list_levels(show: Show) -> list[dict[str, Any]]:
    """What stands in the table of levels at first."""
    return [{"name": o.name, "money_minor": o.money_minor, "promise": o.promise} for o in show.levels.all()]

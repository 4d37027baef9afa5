"""What a level would be, before it is published: read off the staircase."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from campaign.measures.words import spell, upper_first
from campaign.models import Show
from campaign.planning import Staircase, plan_at
from campaign.queries.promises import check_promises
from campaign.queries.stairs import draw_stairs, promise_of
from campaign.queries.standing import Standing


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


def level_context(standing: Standing, *, shown: Sequence[tuple[str, int]]) -> dict[str, Any]:
    """What the page of levels shows beside its form; `shown` are the (name, money) looked at, kept or not."""
    show, staircase = standing.show, standing.staircase
    return {
        "show": show,
        "standing": standing,
        "outlook": outlook_of_levels(staircase, levels=shown) if staircase else (),
        "broken": check_promises(standing),
        "stairs": draw_stairs(standing) if show.closed_at is None else None,
    }


def suggest_level(standing: Standing, *, money_minor: int) -> dict[str, Any] | None:
    """A row for a level at this sum, named by its works and promised in words; None before the first staircase."""
    if standing.staircase is None or standing.request is None or money_minor <= 0:
        return None
    plan = plan_at(standing.request, standing.staircase, money_minor)
    name = f"{upper_first(spell(len(plan.works)))} work{'' if len(plan.works) == 1 else 's'}"
    return {"name": name, "money_minor": money_minor, "promise": promise_of(standing.show, plan=plan)}


def list_levels(show: Show) -> list[dict[str, Any]]:
    """What stands in the table of levels at first."""
    return [{"name": o.name, "money_minor": o.money_minor, "promise": o.promise} for o in show.levels.all()]

"""Where a campaign stands: wall money, the show it buys now, the one it would buy if every open pledge were paid."""

import json
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet, TextField
from django.db.models.functions import Cast

from campaign.models import Level, Show, StaircaseRun
from campaign.planning import (
    Charge,
    Placement,
    Plan,
    PlannedWork,
    PlanRequest,
    Purchase,
    Staircase,
    Step,
    plan_at,
)
from campaign.queries.editions import count_free
from campaign.queries.made_of_text import MadeOfText
from campaign.queries.money import MoneyPicture, read_money
from campaign.queries.plan_request import CODE_VERSION, load_request, load_request_text


@dataclass(frozen=True, slots=True)
class LevelStanding:
    """A level, and what the staircase says of it."""

    level: Level
    is_reached: bool
    is_reached_if_paid: bool
    missing_minor: int
    works: int
    worth: int


@dataclass(frozen=True, slots=True)
class Standing:
    """
    The answer after every order: sums, plans and levels.

    `now` is what money in hand buys, `if_paid` what all open pledges would buy; both None until the first staircase.
    `copies_free` counts over all editions of the show. `is_fresh` is False while newer edits wait for a new staircase;
    `is_quick` is True while the staircase was found fast and the exact one is still to come.
    """

    show: Show
    money: MoneyPicture
    request: PlanRequest | None
    staircase: Staircase | None
    now: Plan | None
    if_paid: Plan | None
    levels: tuple[LevelStanding, ...]
    copies_free: int
    is_fresh: bool
    is_quick: bool = False

    @property
    def in_hand_minor(self) -> int:
        """Wall money in hand; may be below zero."""
        return self.money.in_hand.total_minor

    @property
    def if_paid_minor(self) -> int:
        """Wall money if every open pledge is paid."""
        return self.money.if_paid.total_minor

    @property
    def next_level(self) -> LevelStanding | None:
        """The cheapest level not reached yet."""
        return next((level for level in self.levels if not level.is_reached), None)


def find_run(show: Show) -> StaircaseRun | None:
    """The newest staircase of the running code, exact before quick; it may be older than the last edit."""
    runs = StaircaseRun.objects.filter(show=show, code_version=CODE_VERSION)
    return as_text(runs).order_by("-inputs_version", "is_quick", "-pk").first()


def as_text(runs: QuerySet[StaircaseRun]) -> QuerySet[StaircaseRun]:
    """
    The same runs with steps and request as text, for `load_staircase` and `load_run_request`.

    Page after page reads the same text, and what was made of it last is remembered by the text itself.
    """
    texts = {name: Cast(name.removesuffix("_text"), TextField()) for name in ("steps_text", "request_text")}
    return runs.defer("steps", "request").annotate(**texts)


def load_staircase(run: StaircaseRun) -> Staircase:
    """The staircase as the engine returned it."""
    text = getattr(run, "steps_text", None)
    return _staircase(run.steps) if text is None else load_staircase_text(text)


def load_run_request(run: StaircaseRun) -> PlanRequest:
    """The request that the staircase answers, with empty cost lines."""
    text = getattr(run, "request_text", None)
    return load_request(run.request) if text is None else load_request_text(text)


def _staircase(rows: list[list[Any]]) -> Staircase:
    return Staircase(
        steps=tuple(
            Step(money_minor=money, worth=worth, choice=tuple(choice), bound_worth=bound)
            for money, worth, bound, choice in rows
        )
    )


# A few shows of a studio; each is about a megabyte.
load_staircase_text = MadeOfText(lambda text: _staircase(json.loads(text)), most=8)


def dump_staircase(staircase: Staircase) -> list[list[object]]:
    """The staircase as JSON values."""
    return [[step.money_minor, step.worth, step.bound_worth, list(step.choice)] for step in staircase.steps]


def read_standing(show: Show, *, copies_free: int | None = None) -> Standing:
    """
    The standing of `show` from five queries: pledges, cash book, staircase, levels, free copies.

    `copies_free` saves the last one to a caller who has counted them.
    """
    money = read_money(show)
    run = find_run(show)
    levels = list(show.levels.all())
    if copies_free is None:
        copies_free = count_free(show)
    if run is None:
        return Standing(show, money, None, None, None, None, (), copies_free, is_fresh=False)
    request, staircase = load_run_request(run), load_staircase(run)
    sums = {money.in_hand.total_minor, money.if_paid.total_minor}  # one, where no pledge is open
    plans = {minor: plan_at(request, staircase, minor) for minor in sums}
    return Standing(
        show=show,
        money=money,
        request=request,
        staircase=staircase,
        now=plans[money.in_hand.total_minor],
        if_paid=plans[money.if_paid.total_minor],
        levels=tuple(_level_standing(level, staircase=staircase, money=money) for level in levels),
        copies_free=copies_free,
        is_fresh=run.inputs_version == show.inputs_version,
        is_quick=run.is_quick,
    )


def _level_standing(level: Level, *, staircase: Staircase, money: MoneyPicture) -> LevelStanding:
    step = staircase.at(level.money_minor)
    return LevelStanding(
        level=level,
        is_reached=money.in_hand.total_minor >= level.money_minor,
        is_reached_if_paid=money.if_paid.total_minor >= level.money_minor,
        missing_minor=max(0, level.money_minor - money.in_hand.total_minor),
        works=sum(index >= 0 for index in step.choice),
        worth=step.worth,
    )


def load_plan(data: dict[str, Any]) -> Plan:
    """The plan that `dataclasses.asdict` wrote into a FixedPlan."""
    works = tuple(PlannedWork(**{**work, "placement": Placement(**work["placement"])}) for work in data["works"])
    tuples = {key: tuple(data[key]) for key in ("next_added_codes", "next_changed_codes", "next_removed_codes")}
    purchases = tuple(Purchase(**{**row, "packs": tuple(row["packs"])}) for row in data.get("purchases", ()))
    charges = tuple(Charge(**row) for row in data.get("charges", ()))
    return Plan(**{**data, **tuples, "works": works, "purchases": purchases, "charges": charges})

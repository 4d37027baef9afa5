"""The works as their room lists them: which hang now, the ways each could hang with its worth, its ties."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from campaign.models import Finish, Show, Size, Wall, Work, WorkPair
from campaign.planning.costing.costs import worth_points
from campaign.queries.explain import find_fixed
from campaign.queries.money import read_money
from campaign.queries.room import list_works
from campaign.queries.standing import find_run, load_run_request, load_staircase


@dataclass(frozen=True, slots=True)
class WorkLine:
    """A work and its state; `hangs` is None while the best shows are being worked out."""

    work: Work
    hangs: bool | None


def list_work_lines(show: Show) -> list[WorkLine]:
    """Every work in the artist's order. Seven queries whatever the number of works."""
    hanging = find_hanging(show)
    return [WorkLine(work, None if hanging is None else work.code in hanging) for work in list_works(show)]


def find_hanging(show: Show) -> set[str] | None:
    """
    Codes of the works that hang: in the fixed plan once the campaign is closed, else for the money in hand.

    None while the staircase does not belong to the inputs as they are. No work is placed on a wall for this.
    """
    fixed = find_fixed(show) if show.closed_at is not None else None
    if fixed:
        return {work["code"] for work in fixed.plan["works"]}
    run = find_run(show)
    if run is None or run.inputs_version != show.inputs_version:
        return None
    step = load_staircase(run).at(read_money(show).in_hand.total_minor)
    works = zip(load_run_request(run).works, step.choice, strict=True)
    return {work.code for work, index in works if index >= 0}


@dataclass(frozen=True, slots=True)
class Way:
    """One size and finish of a work: the worth by need × finish × size factor, and the artist's own, if any."""

    size: Size
    finish: Finish
    reckoned: int
    own: int | None

    @property
    def key(self) -> str:
        """Names the way's field in a form; no code holds a colon."""
        return f"{self.size.code}:{self.finish.code}"


def list_ways(show: Show, *, work: Work) -> list[Way]:
    """Every way a work could hang, size by size."""
    finishes = list(work.finishes.all()) or list(show.finishes.all())
    own = {(one.size_id, one.finish_id): one.worth for one in work.option_worths.all()}
    return [
        Way(
            size=size,
            finish=finish,
            reckoned=worth_points(need=work.need, finish_worth=finish.worth, factor_percent=size.factor_percent),
            own=own.get((size.pk, finish.pk)),
        )
        for size in work.sizes.all()
        for finish in finishes
    ]


@dataclass(frozen=True, slots=True)
class Tie:
    """How a work is tied to another: `kind` for forms, `words` for people."""

    kind: str
    words: str
    other: Work


def list_ties(work: Work) -> list[Tie]:
    """The ties of a work, in the order in which they were made."""
    pairs = WorkPair.objects.filter(Q(one=work) | Q(other=work)).select_related("one", "other")
    return [
        Tie(pair.kind, pair.get_kind_display(), pair.other if pair.one_id == work.pk else pair.one) for pair in pairs
    ]


def other_works(show: Show, *, work: Work) -> list[tuple[str, str]]:
    """The other works as form choices."""
    return list(show.works.exclude(pk=work.pk).values_list("code", "title"))


def wall_choices(show: Show) -> list[Wall]:
    """The walls in the artist's order."""
    return list(show.walls.all())


def work_start(work: Work | None) -> dict[str, Any]:
    """What stands in the form of a work at first."""
    if work is None:
        return {"need": 3, "coverage_percent": 100}
    names = (
        "title", "year", "medium", "series", "need", "alt_text", "must_hang", "coverage_percent", "pinned_middle_mm",
        "pinned_row", "net_minor",
    )  # fmt: skip
    start = {name: getattr(work, name) for name in names}
    wall = work.pinned_wall
    return start | {
        "finish_codes": [finish.code for finish in work.finishes.all()],
        "pinned_wall_code": wall.code if wall else "",
    }

"""All works at once: what is typed in their table, and their order."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from campaign.models import Show, Work
from campaign.services.inputs import open_inputs


@dataclass(frozen=True, slots=True)
class WorkRow:
    """A row of the table as typed."""

    code: str
    need: int
    must_hang: bool
    series: str


@dataclass(frozen=True, slots=True)
class Move:
    """One work one place up (-1) or down (1) in the order."""

    code: str
    by: int


@transaction.atomic(durable=True)
def save_work_table(*, show: Show, rows: Sequence[WorkRow], move: Move | None = None) -> None:
    """
    Write the table as typed, and then move one work, in one step. Rows of works that are gone are passed over.

    Writes: Work; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: the same table again changes nothing; a move moves again.
    """
    works = list(show.works.all())
    doing = _doing(works, move=move)
    current = open_inputs(show, doing=doing)
    works = list(current.works.all())
    typed = {row.code: row for row in rows}
    for work in works:
        row = typed.get(work.code)
        if row:
            work.need, work.must_hang, work.series = row.need, row.must_hang, row.series
    for position, work in enumerate(_moved(works, move=move), start=1):
        work.position = position
    Work.objects.bulk_update(works, ["need", "must_hang", "series", "position"])


def _doing(works: Sequence[Work], *, move: Move | None) -> str:
    title = next((work.title for work in works if move and work.code == move.code), "")
    if move is None or not title:
        return "The table of works was changed"
    return f"The work “{title}” was moved {'up' if move.by < 0 else 'down'}"


def _moved(works: list[Work], *, move: Move | None) -> list[Work]:
    place = next((index for index, work in enumerate(works) if move and work.code == move.code), None)
    if move is None or place is None:
        return works
    order = list(works)
    order.insert(max(0, min(len(works) - 1, place + move.by)), order.pop(place))
    return order

"""Whether the rows of an assignment can be put in an order that keeps foes apart; what goes where is not decided."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from campaign.planning.placing.rows import SPARE, Party, order_apart
from campaign.planning.placing.ties import Task
from campaign.planning.placing.wall import Stretch

RowKey = tuple[str, int]


def row_of(piece: Stretch) -> RowKey:
    """The wall and the row a piece is of."""
    return (piece.wall_code, piece.row)


def pinned_rows(task: Task) -> dict[int, RowKey]:
    """Items at pinned places, and the row each is in."""
    return {len(task.widths) + k: one.row for k, one in enumerate(task.pinned)}


def pinned_items(task: Task) -> defaultdict[RowKey, set[int]]:
    in_row: defaultdict[RowKey, set[int]] = defaultdict(set)
    for item, row in pinned_rows(task).items():
        in_row[row].add(item)
    return in_row


def row_items(task: Task, *, chosen: Sequence[int]) -> dict[RowKey, list[list[int]]]:
    """Items row by row, piece by piece from the left; the order within a piece is free, a pinned work is alone."""
    marks: list[tuple[RowKey, int, list[int]]] = [(row_of(piece), piece.x_mm, []) for piece in task.pieces]
    for i, place in enumerate(chosen):
        marks[place][2].append(i)
    marks.extend((one.row, one.x_mm, [len(chosen) + k]) for k, one in enumerate(task.pinned))
    rows: dict[RowKey, list[list[int]]] = {}
    for row, _, items in sorted(marks, key=lambda mark: mark[:2]):
        if items:
            rows.setdefault(row, []).append(items)
    return rows


def order_row(groups: Sequence[Sequence[int]], *, foes: Mapping[int, frozenset[int]]) -> tuple[int, ...] | None:
    """An order of the items of one row with no foes side by side, SPARE for those without; None when there is none."""
    here = {item for group in groups for item in group}
    met = {item for item in here if foes.get(item, frozenset()) & here}
    if not met:
        return (SPARE,) * len(here)
    parties = [
        Party(tuple(item for item in group if item in met), sum(item not in met for item in group)) for group in groups
    ]
    return order_apart(parties, foes=foes)


def is_apart(task: Task, *, chosen: Sequence[int]) -> bool:
    """
    Whether every row can be put in an order in which no foes are neighbours.

    Raises: Undecided.
    """
    if not task.foes:
        return True
    rows = row_items(task, chosen=chosen)
    return all(order_row(groups, foes=task.foes) is not None for groups in rows.values())

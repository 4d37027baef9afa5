"""Bringing a table's rows to what a folder says, touching only what differs; inside the caller's transaction."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Model, QuerySet


@dataclass(frozen=True, slots=True)
class TableChange:
    """How many rows of a table a folder added, changed and took away."""

    table: str
    added: int = 0
    changed: int = 0
    removed: int = 0

    @property
    def line(self) -> str:
        """“walls: 2 added, 1 changed”; only what is not zero."""
        counts = (("added", self.added), ("changed", self.changed), ("taken away", self.removed))
        return f"{self.table}: " + ", ".join(f"{count} {word}" for word, count in counts if count)


@dataclass(frozen=True, slots=True)
class Match:
    """
    A table's rows after matching, in the wanted order, and the rows nobody wants any more.

    The leftovers are deleted by the caller once nothing points at them: `drop_leftovers`.
    """

    rows: tuple[Any, ...]
    leftovers: tuple[Any, ...]
    change: TableChange


def match_rows(*, table: str, present: QuerySet[Any], wanted: Iterable[Mapping[str, Any]], key: Sequence[str]) -> Match:
    """
    Create the rows of `wanted` that are missing from `present`, update those that differ, leave the rest alone.

    Rows are the same when the fields of `key` are; of several with the same key the first meets the first.
    Writes: the model of `present`.
    """
    known = dict(_numbered([(tuple(getattr(row, name) for name in key), row) for row in present]))
    wishes = _numbered([(tuple(wish[name] for name in key), wish) for wish in wanted])
    rows: list[Any] = []
    added = changed = 0
    for name, wish in wishes:
        row = known.pop(name, None)
        if row is None:
            row = present.model(**wish)
            row.save(force_insert=True)
            added += 1
        else:
            changed += update_row(row, wish)
        rows.append(row)
    leftovers = tuple(known.values())
    return Match(tuple(rows), leftovers, TableChange(table, added, changed, len(leftovers)))


def update_row(row: Model, wish: Mapping[str, Any]) -> bool:
    """Write the fields of `row` that differ from `wish`; True if any did."""
    differing = [name for name, value in wish.items() if getattr(row, name) != value]
    for name in differing:
        setattr(row, name, wish[name])
    if differing:
        row.save(update_fields=differing)
    return bool(differing)


def drop_leftovers(match: Match) -> None:
    """Delete what nobody wants any more."""
    for row in match.leftovers:
        row.delete()


def settle(*matches: Match) -> Iterator[TableChange]:
    """Drop the leftovers of several matches, what points at others first, and say what changed."""
    for match in reversed(matches):
        drop_leftovers(match)
    yield from (match.change for match in matches)


def _numbered(pairs: Sequence[tuple[tuple[Any, ...], Any]]) -> list[tuple[tuple[Any, ...], Any]]:
    seen: Counter[tuple[Any, ...]] = Counter()
    numbered: list[tuple[tuple[Any, ...], Any]] = []
    for key, value in pairs:
        seen[key] += 1
        numbered.append(((*key, seen[key]), value))
    return numbered

"""
What an order is made on and no order changes: show, studio, editions, postage and taxes, read before anybody waits.

The rows that the artist may edit meanwhile are compared again under the lock, as the database gives them.
"""

import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db import connection

from campaign.models import FREE_TO_TAKE_SQL, Copy, Edition, PostageRate, Show, Studio, TaxRate
from campaign.models.rows import columns, made_of

Values = tuple[Any, ...]
_SHOW, _EDITION = Show._meta.db_table, Edition._meta.db_table


@dataclass(frozen=True, slots=True)
class Ground:
    """A show with what its orders are priced by; `as_read` has the values of its rows, by the key of the edition."""

    show: Show
    show_as_read: Values
    editions: tuple[Edition, ...]
    as_read: Mapping[int, Values]
    studio: Studio
    rates: Sequence[PostageRate]
    taxes: Sequence[TaxRate]


def find_ground(show_code: str) -> Ground | None:
    """The ground of a show that was published; None while there is none. Four queries."""
    return _read(f"s.code = %s AND s.state <> '{Show.State.DRAFT}'", show_code)


def read_ground(show: Show) -> Ground:
    """The ground of a show as it is now. Four queries."""
    ground = _read("s.id = %s", show.pk)
    assert ground is not None, "shows are never deleted while somebody orders"
    return ground


class KeptGrounds:
    """
    Grounds as they were read at most `seconds` ago, one a show; 0 reads each time.

    For the last step of an order only: it looks at the rows again before anything is recorded.
    """

    def __init__(self) -> None:
        self.seconds = 0.0
        self._kept: dict[str, tuple[float, Ground]] = {}

    def find(self, show_code: str) -> Ground | None:
        """As `find_ground`."""
        now_s = time.monotonic()
        until_s, ground = self._kept.get(show_code, (0.0, None))
        if ground is None or until_s <= now_s:
            ground = find_ground(show_code)
            if ground and self.seconds:
                self._kept[show_code] = (now_s + self.seconds, ground)
        return ground


kept_grounds = KeptGrounds()


def count_stock(editions: Sequence[Edition], *, most: int) -> dict[int, int]:
    """Copies that can be ordered now, of each edition by its key; beyond `most` nobody counts. One query."""
    if not editions:
        return {}
    of_one = (
        f"SELECT %s, COUNT(*) FROM (SELECT 1 FROM {Copy._meta.db_table} "  # noqa: S608 - our own words
        f"WHERE edition_id = %s AND {FREE_TO_TAKE_SQL} LIMIT %s) AS free"
    )
    asked = [value for edition in editions for value in (edition.pk, edition.pk, most)]
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join([of_one] * len(editions)), asked)
        return dict(cursor.fetchall())


def lock_as_read(show: Show, *, codes: Iterable[str]) -> dict[int, Values]:
    """
    Lock editions of `show` until the transaction ends, in the order of their keys, as all lock them. Their values.

    The show's row is read along and not locked.
    """
    asked = sorted(codes)
    sql = _select_locked(len(asked), connection.vendor)
    with connection.cursor() as cursor:
        cursor.execute(sql, [show.pk, *asked])
        return {values[0]: tuple(values) for values in cursor.fetchall()}


def show_as_read(show: Show) -> Values:
    """The values of a show's row, as a ground has them."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {columns(Show, 's')} FROM {_SHOW} s WHERE s.id = %s", [show.pk])  # noqa: S608
        return tuple(cursor.fetchone())


@cache
def _select_locked(count: int, vendor: str) -> str:
    blanks = ", ".join(["%s"] * count)
    return (
        f"SELECT {columns(Edition, 'e')}, {columns(Show, 's')} "  # noqa: S608 - our own words
        f"FROM {_EDITION} e JOIN {_SHOW} s ON s.id = e.show_id "
        f"WHERE e.show_id = %s AND e.code IN ({blanks}) ORDER BY e.id"
        + (" FOR NO KEY UPDATE OF e" if vendor == "postgresql" else "")
    )


def _read(where: str, value: int | str) -> Ground | None:
    sql = (
        f"SELECT {columns(Edition, 'e')}, {columns(Show, 's')} "  # noqa: S608 - our own words
        f"FROM {_SHOW} s LEFT JOIN {_EDITION} e ON e.show_id = s.id WHERE {where} ORDER BY e.position, e.id"
    )
    with connection.cursor() as cursor:
        cursor.execute(sql, [value])
        found = [tuple(values) for values in cursor.fetchall()]
    if not found:
        return None
    width = len(Edition._meta.concrete_fields)
    show = made_of(Show, found[0][width:])
    as_read = {values[0]: values for values in found if values[0] is not None}
    editions = tuple(made_of(Edition, values[:width]) for values in as_read.values())
    for edition in editions:
        edition.show = show
    return Ground(
        show=show,
        show_as_read=found[0][width:],
        editions=editions,
        as_read=as_read,
        studio=Studio.objects.get(pk=1),
        rates=list(show.postage_rates.all()),
        taxes=list(show.tax_rates.all()),
    )

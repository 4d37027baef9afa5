"""
Rows in SQL that is put together once: for the few statements that others wait for while they run.

To put a query of the ORM into SQL takes longer than the database takes to answer it. Constraints, converters and
defaults are the models' own; only the statement is kept.
"""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import cache
from typing import Any, TypeVar
from weakref import WeakKeyDictionary

from django.db import connection, models

Row = TypeVar("Row", bound=models.Model)
Value = str | int | bool | datetime | None
_prepared: WeakKeyDictionary[Any, dict[str, bytes]] = WeakKeyDictionary()


@cache
def columns(model: type[models.Model], alias: str) -> str:
    """All columns of a model for a SELECT, quoted, in the order of its fields."""
    return ", ".join(f'{alias}."{field.column}"' for field in model._meta.concrete_fields)


def made_of(model: type[Row], values: Sequence[Any]) -> Row:
    """The row of a model from what a SELECT of its `columns` gave."""
    fields, converters = _converters(model, connection.vendor)
    found = list(values)
    for place, convert, column in converters:
        found[place] = convert(found[place], column, connection)
    return model.from_db(connection.alias, [field.attname for field in fields], found)


@cache
def _converters(
    model: type[models.Model], vendor: str
) -> tuple[Sequence[Any], Sequence[tuple[int, Callable[..., Any], Any]]]:
    """The model's fields, and what has to be done to which value: each engine gives some as something else."""
    fields = model._meta.concrete_fields
    columns_ = [field.get_col(model._meta.db_table) for field in fields]
    return fields, [
        (place, convert, column)
        for place, column in enumerate(columns_)
        for convert in (*connection.ops.get_db_converters(column), *column.get_db_converters(connection))
    ]


def insert(row: models.Model) -> None:
    """Write a new row and give it its key, as `row.save(force_insert=True)` does."""
    sql, fields = _insert_of(type(row))
    with connection.cursor() as cursor:
        cursor.execute(sql, [field.get_db_prep_save(field.pre_save(row, True), connection) for field in fields])
        (row.pk,) = cursor.fetchone()
    row._state.adding, row._state.db = False, connection.alias


@cache
def _insert_of(model: type[models.Model]) -> tuple[str, Sequence[Any]]:
    meta = model._meta
    fields = [field for field in meta.concrete_fields if not field.primary_key]
    names = ", ".join(f'"{field.column}"' for field in fields)
    blanks = ", ".join(["%s"] * len(fields))
    sql = f'INSERT INTO "{meta.db_table}" ({names}) VALUES ({blanks})'  # noqa: S608 - names of our own
    return f'{sql} RETURNING "{meta.pk.column}"', fields


def change(sql: str, values: Sequence[Value]) -> int:
    """
    Run a statement that changes rows; `sql` is one of our own few, with %s for each value. Returns how many it changed.

    Asked of the driver itself. PostgreSQL keeps the statement prepared for the length of a connection and answers
    libpq's own blocking call: five times sooner done than through a cursor, which writes the values into the text and
    waits for the answer in a loop.
    """
    connection.ensure_connection()
    if connection.queries_logged:  # whoever counts queries sees this one too
        with connection.cursor() as cursor:
            cursor.execute(sql, [_plain(value) for value in values])
            return int(cursor.rowcount)
    with connection.wrap_database_errors:
        if connection.vendor == "postgresql":
            return _change_prepared(sql, values)
        cursor = connection.connection.cursor()  # not of the connection itself: see config/sqlite.py
        return int(cursor.execute(sql.replace("%s", "?"), [_plain(value) for value in values]).rowcount)


def _plain(value: Value) -> Any:
    return connection.ops.adapt_datetimefield_value(value) if isinstance(value, datetime) else value


def _change_prepared(sql: str, values: Sequence[Value]) -> int:
    from psycopg import errors, pq

    server = connection.connection.pgconn
    known = _prepared.setdefault(connection.connection, {})
    if sql not in known:
        name = f"wallful_{len(known)}".encode()
        result = server.prepare(name, _numbered(sql).encode())
        if result.status != pq.ExecStatus.COMMAND_OK:
            raise errors.error_from_result(result)
        known[sql] = name
    result = server.exec_prepared(known[sql], [_as_text(value) for value in values])
    if result.status != pq.ExecStatus.COMMAND_OK:
        raise errors.error_from_result(result)
    return int(result.command_tuples or 0)


def _numbered(sql: str) -> str:
    """
    The places of values as PostgreSQL has them.

    >>> _numbered("a = %s AND b = %s")
    'a = $1 AND b = $2'
    """
    first, *rest = sql.split("%s")
    return first + "".join(f"${number}{part}" for number, part in enumerate(rest, start=1))


def _as_text(value: Value) -> bytes | None:
    if value is None:
        return None
    return (value.isoformat() if isinstance(value, datetime) else str(value)).encode()

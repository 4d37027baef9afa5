"""
Rows in SQL that is put together once: for the few statements that others wait for while they run.

To put a query of the ORM into SQL takes longer than the database takes to answer it. Constraints, converters and
defaults are the models' own; only the statement is kept.
"""

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any, TypeVar

from django.db import connection, models

Row = TypeVar("Row", bound=models.Model)


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

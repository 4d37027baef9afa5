"""
Queries of the ORM whose SQL is put together once: for those that stand between an edit and the page that answers it.

To put a query into SQL takes several times as long as the database takes to answer it. What is asked, converters and
order are the models' own; only the statement is kept.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import QuerySet

# Stands for the key until it is known: no row has it, and no other number in a query is it.
_BLANK = -7_130_406_201_907_043


class Prepared:
    """
    A `values_list` of the rows that belong to one other row, whose key is all that differs from one time to the next.

    Parameters: asked, the query for a key. It is asked for once and not run.
    """

    def __init__(self, asked: Callable[[int], QuerySet[Any, Any]]) -> None:
        self._asked = asked
        self._statements: dict[str, _Statement] = {}

    def __call__(self, key: int) -> list[tuple[Any, ...]]:
        """The rows, as the query itself gives them. One query."""
        statement = self._statements.get(connection.vendor)
        if statement is None:
            statement = self._statements[connection.vendor] = _Statement.of(self._asked(_BLANK))
        with connection.cursor() as cursor:
            cursor.execute(statement.sql, [key if value == _BLANK else value for value in statement.values])
            return statement.converted(cursor.fetchall())


@dataclass(frozen=True, slots=True)
class _Statement:
    """SQL with its values, and what has to be done to which column, since each engine gives some as something else."""

    sql: str
    values: tuple[Any, ...]
    converters: Sequence[tuple[int, Sequence[Callable[..., Any]], Any]]

    @classmethod
    def of(cls, rows: QuerySet[Any, Any]) -> "_Statement":
        compiler = rows.query.get_compiler(connection=connection)
        sql, values = compiler.as_sql()
        assert _BLANK in values, "the query does not ask for the key"
        found = compiler.get_converters([column for column, *_ in compiler.select[: compiler.col_count]])
        return cls(sql, values, [(place, of_column, column) for place, (of_column, column) in found.items()])

    def converted(self, rows: list[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
        if not self.converters:
            return rows
        changed = [list(row) for row in rows]
        for place, convert_all, column in self.converters:
            for row in changed:
                for convert in convert_all:
                    row[place] = convert(row[place], column, connection)
        return [tuple(row) for row in changed]

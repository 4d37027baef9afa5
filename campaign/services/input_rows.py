"""The rows that Measure edits, read as plain JSON values and written back with their keys. Not for pictures' bytes."""

from collections.abc import Iterable
from datetime import date
from functools import cache, partial
from typing import Any

from django.db.models import DateField, Model, QuerySet

from campaign.errors import InUse, NotReady
from campaign.models import (
    BlockedArea,
    Edition,
    Finish,
    GiftInKind,
    OptionWorth,
    Picture,
    PriceItem,
    PriceStep,
    RecipeLine,
    Show,
    ShowCost,
    Size,
    SizePrice,
    Wall,
    Work,
    WorkPair,
)
from campaign.queries.prepared import Prepared
from campaign.services.setting_names import SETTINGS

Rows = dict[str, list[list[Any]]]
# What points at something comes after it; with each the way to its show.
TABLES: tuple[tuple[type[Model], str], ...] = (
    (Wall, "show"),
    (BlockedArea, "wall__show"),
    (PriceItem, "show"),
    (PriceStep, "item__show"),
    (SizePrice, "item__show"),
    (Finish, "show"),
    (RecipeLine, "finish__show"),
    (ShowCost, "show"),
    (Work, "show"),
    (Size, "work__show"),
    (Work.finishes.through, "work__show"),
    (OptionWorth, "work__show"),
    (WorkPair, "show"),
    (GiftInKind, "show"),
)
# Nothing points at their rows, and an edit may write them anew: the same rows under other keys are the same.
KEYLESS = {model.__name__ for model in (BlockedArea, PriceStep, SizePrice, RecipeLine, ShowCost, OptionWorth, WorkPair)}


def read_rows(show: Show) -> Rows:
    """
    Table → its rows of `show` by key, the first row naming the columns; "Show" has the show's own settings.

    One query a table, whatever the number of works.
    """
    rows: Rows = {"Show": [list(SETTINGS), [_plain(getattr(show, name)) for name in SETTINGS]]}
    for model, asked in _ASKED:
        found: Iterable[list[Any]] = map(list, asked(show.pk))
        if any(isinstance(field, DateField) for field in model._meta.concrete_fields):
            found = ([_plain(value) for value in row] for row in found)
        rows[model.__name__] = [list(_columns(model)), *found]
    return rows


def _rows_of(key: int, *, model: type[Model], path: str) -> QuerySet[Any, Any]:
    return model._default_manager.filter(**{path: key}).order_by("pk").values_list(*_columns(model))


_ASKED = tuple((model, Prepared(partial(_rows_of, model=model, path=path))) for model, path in TABLES)


def are_alike(rows: Rows, others: Rows) -> bool:
    """True if a reader of the show sees no difference: keys that nothing points at do not count."""
    return rows.keys() == others.keys() and all(
        _in_order(rows[name], name=name) == _in_order(others[name], name=name) for name in rows
    )


def _in_order(table: list[list[Any]], *, name: str) -> list[list[Any]]:
    return sorted((row[1:] for row in table), key=repr) if name in KEYLESS else table


def write_rows(show: Show, *, rows: Rows, present: Rows) -> None:
    """
    Bring the rows of `show` from `present`, as they are now, to `rows`; what is alike is left alone.

    A picture that is gone since leaves its work without one.
    Writes: every model of TABLES; Show.
    Raises: NotReady for rows that another version of the code has kept; InUse for a work that an edition is a print of.
    """
    if {name: table[0] for name, table in rows.items()} != {name: table[0] for name, table in present.items()}:
        raise NotReady("The site was renewed since that step, so it cannot be taken back. Nothing was changed.")
    for model, _ in reversed(TABLES):
        kept = {row[0] for row in rows[model.__name__][1:]}
        _delete(model, keys=[row[0] for row in present[model.__name__][1:] if row[0] not in kept])
    for model, _ in TABLES:
        there = {row[0]: row for row in present[model.__name__][1:]}
        _write(model, rows=[row for row in rows[model.__name__][1:] if there.get(row[0]) != row])
    values = {name: _value(Show, name, value) for name, value in zip(*rows["Show"], strict=True)}
    Show.objects.filter(pk=show.pk).update(**values)


def _delete(model: type[Model], *, keys: list[int]) -> None:
    if not keys:
        return
    if model is Work:
        editions = Edition.objects.filter(work__in=keys).select_related("work").first()
        if editions:
            raise InUse(what=str(editions.work), used_by=(editions.title,))
    if model is Wall:  # a place without a wall is refused by the database, so both go at once
        Work.objects.filter(pinned_wall__in=keys).update(pinned_wall=None, pinned_middle_mm=None, pinned_row=0)
    model._default_manager.filter(pk__in=keys).delete()


def _write(model: type[Model], *, rows: list[list[Any]]) -> None:
    if not rows:
        return
    columns = _columns(model)
    objects = [model(**{name: _value(model, name, value) for name, value in zip(columns, row, strict=True)})
               for row in rows]  # fmt: skip
    if model is Work:
        _without_lost_pictures(objects)
    others = [name for name in _names(model) if name != model._meta.pk.name]
    model._default_manager.bulk_create(
        objects, update_conflicts=True, unique_fields=[model._meta.pk.name], update_fields=others
    )


def _without_lost_pictures(works: list[Any]) -> None:
    wanted = {work.picture_id for work in works if work.picture_id}
    there = set(Picture.objects.filter(pk__in=wanted).values_list("pk", flat=True))
    for work in works:
        if work.picture_id not in there:
            work.picture_id = None


@cache
def _columns(model: type[Model]) -> tuple[str, ...]:
    """Key first."""
    fields = sorted(model._meta.concrete_fields, key=lambda field: not field.primary_key)
    return tuple(field.attname for field in fields)


def _names(model: type[Model]) -> tuple[str, ...]:
    return tuple(field.name for field in model._meta.concrete_fields)


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


def _value(model: type[Model], name: str, value: Any) -> Any:
    """What `_plain` made plain; dates are the only values that it changed."""
    if not isinstance(value, str):
        return value
    field: Any = model._meta.get_field(name.removesuffix("_id"))
    return field.to_python(value)

"""Price book entries pasted from a spreadsheet: shown row by row first, then stored all together or not at all."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from campaign.errors import NotReady
from campaign.measures.money import format_minor
from campaign.measures.weights import format_weight
from campaign.models import PriceItem, Show
from campaign.services.inputs import free_code, open_inputs
from campaign.services.pasting import Pasted, PastedRow, is_given, read_pasted
from campaign.showfolder.check_costs import hour_faults
from campaign.showfolder.cost_tables import PRICES
from campaign.showfolder.entries import Entry
from campaign.showfolder.rows import Verdict

MOST_ROWS = 500
FIELDS = {
    "name": "name", "unit": "unit", "price": "price_minor", "per": "per_milli", "mass per unit": "mass_g_per_unit",
    "priced on": "priced_on", "sold in packs": "is_sold_in_packs", "on the shelf": "shelf_milli",
}  # fmt: skip
COLUMNS = {field: column for column, field in FIELDS.items()}
MINUTES = 60


@dataclass(frozen=True, slots=True)
class PastedPrice(PastedRow):
    """One row and what it sets; `item` is None for a new entry."""

    item: PriceItem | None
    code: str
    fields: dict[str, Any]


def read_prices(*, show: Show, text: str) -> Pasted[PastedPrice]:
    """
    What the pasted `text` would do to the price book of `show`; an entry is known by its code, else by its name.

    An absent column or an empty cell leaves a known entry as it is there, price steps and size tables always; a new
    one needs a name, a unit and a price. A price by the hour is kept by the minute.
    """
    pasted = read_pasted(text, table=PRICES, show=show, most_rows=MOST_ROWS)
    items = list(show.price_items.prefetch_related("steps", "size_prices", "recipe_lines"))
    rows: list[PastedPrice] = []
    verdicts = list(pasted.verdicts)
    seen: dict[str, int] = {}
    for entry in pasted.entries:
        item = _find(entry, items)
        values = _fields(entry)
        name = (item.code if item else entry.values["code"] or entry.values["name"] or "").casefold()
        found = [*_faults(entry, item=item, values=values)]
        if name and name in seen:
            found.append(entry.verdict(f"Row {seen[name]} is the same entry; keep one of the two."))
        seen.setdefault(name, entry.number or 0)
        verdicts.extend(found)
        if not found:
            rows.append(_row(entry, item=item, values=values, show=show))
    return Pasted.of(rows, verdicts=verdicts, noun="price")


@transaction.atomic(durable=True)
def store_prices(*, show: Show, text: str) -> Pasted[PastedPrice]:
    """
    Store what was pasted: every row or none.

    Writes: PriceItem; Show.inputs_version.
    Raises: PlanIsFixed; NotReady where a row cannot be read.
    Repeat: the same text again changes nothing.
    """
    current = open_inputs(show, doing="Prices were pasted from a spreadsheet")
    pasted = read_prices(show=current, text=text)
    if pasted.refusals:
        raise NotReady("Some rows cannot be read, so nothing was stored.")
    taken = set(current.price_items.values_list("code", flat=True))
    taken |= {row.code for row in pasted.rows}  # a code that is typed further down is not made for another row
    for row in pasted.rows:
        item = row.item
        if item is None:
            code = row.code or free_code(row.title, taken=taken, otherwise="item")
            taken.add(code)
            item = PriceItem(show=current, code=code)
        for field, value in row.fields.items():
            setattr(item, field, value)
        if row.is_new or row.changes:
            item.save()
    return pasted


def _find(entry: Entry, items: list[PriceItem]) -> PriceItem | None:
    code, name = ((entry.values[column] or "").casefold() for column in ("code", "name"))
    if code:
        return next((item for item in items if item.code.casefold() == code), None)
    return next((item for item in items if name and item.name.casefold() == name), None)


def _fields(entry: Entry) -> dict[str, Any]:
    values = {field: entry.values[column] for column, field in FIELDS.items() if is_given(entry, column)}
    if values.get("unit") == "hour":
        values |= {"unit": "minute", "per_milli": values.get("per_milli", 1000) * MINUTES}
        if "shelf_milli" in values:
            values["shelf_milli"] *= MINUTES
    return values


def _faults(entry: Entry, *, item: PriceItem | None, values: dict[str, Any]) -> Iterator[Verdict]:
    yield from hour_faults(entry)
    if item is None:
        for column, needed in (("name", "a name"), ("unit", "a unit such as m2 or piece"), ("price", "a price")):
            if not is_given(entry, column):
                yield entry.verdict(f"An entry that is new needs {needed}.", column=column)
        return
    unit = values.get("unit", item.unit)
    if unit != item.unit and (item.recipe_lines.all() or item.size_prices.all()):
        sentence = f"Recipes or a size table count “{item.name}” by its unit, so that stays; leave the cell empty."
        yield entry.verdict(sentence, column="unit")
    if not values.get("is_sold_in_packs", item.is_sold_in_packs) and item.steps.all():
        sentence = f"“{item.name}” has price steps, which count packs; take those away first."
        yield entry.verdict(sentence, column="sold in packs")


def _row(entry: Entry, *, item: PriceItem | None, values: dict[str, Any], show: Show) -> PastedPrice:
    changes = []
    for field, value in values.items():
        before = getattr(item, field) if item else None
        if value != before and (item or field != "name"):
            was = f" instead of {_shown(field, before, show=show)}" if item else ""
            changes.append(f"{COLUMNS[field]} {_shown(field, value, show=show)}{was}")
    return PastedPrice(
        number=entry.number or 0,
        title=values.get("name", item.name if item else ""),
        is_new=item is None,
        changes=tuple(changes),
        item=item,
        code=entry.values["code"] or "",
        fields=values,
    )


def _shown(field: str, value: Any, *, show: Show) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field == "price_minor":
        return format_minor(value, currency=show.currency, locale=show.locale)
    if field.endswith("_milli"):
        return f"{value / 1000:.3f}".rstrip("0").rstrip(".")
    if field == "mass_g_per_unit":
        return format_weight(value)
    return f"“{value}”" if isinstance(value, str) else str(value)

"""Rows of costs against each other: recipes, price steps, size tables, gifts in kind."""

from collections.abc import Iterator, Mapping

from campaign.measures.limits import MOST_HOURLY_MILLI
from campaign.showfolder.entries import Entry, Reading
from campaign.showfolder.rows import Outcome, Verdict

Readings = Mapping[str, Reading]
_BY_SIZE = ("print_size", "outer_size")
_UNIT_OF_BASIS = {
    "piece": ("piece",),
    "print_area": ("m2",),
    "outer_area": ("m2",),
    "outer_perimeter": ("m",),
    "minute": ("minute", "hour"),
    "ink_area": ("ml", "m2"),
    "print_size": ("piece",),
    "outer_size": ("piece",),
}
_UNIT_WORDS = {
    "piece": "the piece",
    "m": "the metre",
    "m2": "the square metre",
    "ml": "the millilitre",
    "minute": "the minute",
    "hour": "the hour",
}


def recipe_faults(readings: Readings) -> Iterator[Verdict]:
    """Finishes without a recipe, lines that multiply metres by square metres, lines by size without a size table."""
    finishes, recipes, prices = readings["finishes"], readings["recipes"], readings["prices"]
    if recipes.is_whole:
        written = {entry.cells.get("finish", "").casefold() for entry in recipes.refused}
        written |= {entry.values["finish"].casefold() for entry in recipes.entries}
        for entry in finishes.entries:
            if entry.values["code"].casefold() not in written:
                sentence = "This finish has no recipe, so it would cost nothing; add its lines to the table “recipes”."
                yield entry.verdict(sentence, column="code")
    units = {entry.values["code"].casefold(): entry.values["unit"] for entry in prices.entries}
    for entry in recipes.entries:
        unit, basis = units.get(entry.values["item"].casefold()), entry.values["basis"]
        if unit is not None and unit not in _UNIT_OF_BASIS[basis]:
            sold = _UNIT_WORDS[_UNIT_OF_BASIS[basis][0]]
            sentence = (
                f"“{entry.values['item']}” is sold by {_UNIT_WORDS[unit]}, and this basis needs a price by {sold}; "
                "change the basis here or the unit in “prices”."
            )
            yield entry.verdict(sentence, column="basis")
    yield from _lines_without_table(readings)


def _lines_without_table(readings: Readings) -> Iterator[Verdict]:
    tables = readings["size prices"]
    if not tables.is_whole:
        return
    written = {entry.values["item"].casefold() for entry in tables.entries}
    written |= {entry.cells.get("item", "").casefold() for entry in tables.refused}
    prices = [entry.values for entry in readings["prices"].entries]
    pieces = {values["code"].casefold() for values in prices if values["unit"] == "piece"}
    for entry in readings["recipes"].entries:
        item = entry.values["item"]
        if entry.values["basis"] in _BY_SIZE and item.casefold() in pieces - written:
            sentence = f"“{item}” has no size table; add its rows to the table “size prices”, or change the basis."
            yield entry.verdict(sentence, column="basis")


def hour_faults(entry: Entry) -> Iterator[Verdict]:
    """Quantities in hours that are too many once they are kept in minutes; `entry` is a row of the price book."""
    for column in ("per", "on the shelf"):
        if entry.values["unit"] == "hour" and (entry.values[column] or 0) > MOST_HOURLY_MILLI:
            yield entry.verdict(f"Write at most {MOST_HOURLY_MILLI // 1000:,} hours.", column=column)


def price_faults(readings: Readings) -> Iterator[Verdict]:
    """Rows of the price book by themselves."""
    for entry in readings["prices"].entries:
        yield from hour_faults(entry)


def step_faults(readings: Readings) -> Iterator[Verdict]:
    """Price steps of what is not sold in packs, steps that stand there twice, and steps that make a pack dearer."""
    items = {entry.values["code"].casefold(): entry.values for entry in readings["prices"].entries}
    first: dict[tuple[str, int], Entry] = {}
    for entry in readings["price steps"].entries:
        code, from_packs = entry.values["item"].casefold(), entry.values["from packs"]
        item = items.get(code)
        if item and not item["sold in packs"]:
            sentence = f"“{entry.values['item']}” is not sold in packs; write yes under “sold in packs” in “prices”."
            yield entry.verdict(sentence, column="item")
        if (code, from_packs) in first:
            sentence = f"Row {first[code, from_packs].number} has this step already; take one of the two out."
            yield entry.verdict(sentence, column="from packs")
        first.setdefault((code, from_packs), entry)
        if item and entry.values["price"] > item["price"]:
            sentence = "More packs make each pack dearer here; see whether this is the price of one pack."
            yield entry.verdict(sentence, column="price", outcome=Outcome.NOTED)


def table_faults(readings: Readings) -> Iterator[Verdict]:
    """Rows of a size table that stand there twice."""
    first: dict[tuple[str, tuple[int, int]], Entry] = {}
    for entry in readings["size prices"].entries:
        key = (entry.values["item"].casefold(), entry.values["up to"])
        if key in first:
            yield entry.verdict(f"Row {first[key].number} has this size already; keep one price.", column="up to")
        first.setdefault(key, entry)


def gift_faults(readings: Readings) -> Iterator[Verdict]:
    """Gifts that are neither a quantity nor for a work, or both."""
    for entry in readings["gifts"].entries:
        quantity, work = entry.values["quantity"], entry.values["work"]
        if not quantity and not work:
            yield entry.verdict("Write how much is given, or the work that it is given for.", column="quantity")
        elif quantity and work:
            sentence = "A gift for one work gives all that it takes; leave the quantity empty, or the work."
            yield entry.verdict(sentence, column="quantity")

"""Rows of rules against what they are about: two rows on a wall, pins, own worths, pairs of works."""

from collections.abc import Iterator, Mapping

from campaign.measures.lengths import format_length, format_size
from campaign.showfolder.entries import Entry, Reading
from campaign.showfolder.rows import Verdict

Readings = Mapping[str, Reading]


def pin_faults(readings: Readings, *, unit: str) -> Iterator[Verdict]:
    """Places without a wall, beyond their wall, or in a row that the wall has not."""
    walls = {entry.values["code"].casefold(): entry.values for entry in readings["walls"].entries}
    for entry in readings["works"].entries:
        code, middle_mm, row = (entry.values[name] for name in ("wall", "middle at", "row"))
        wall = walls.get(code.casefold())
        if not code and middle_mm is not None:
            yield entry.verdict("A place needs its wall; write the wall's code, or leave the place empty.",
                                column="middle at")  # fmt: skip
        elif wall and middle_mm is not None and middle_mm > wall["width"]:
            whole = format_length(wall["width"], unit=unit)
            yield entry.verdict(f"The wall is {whole} wide; measure the middle from its left end.", column="middle at")
        if wall and row > wall["rows"]:
            yield entry.verdict("The wall has one row; write 1, or give the wall two rows in “walls”.", column="row")


def worth_faults(readings: Readings, *, unit: str) -> Iterator[Verdict]:
    """Own worths of sizes and finishes that the work is not offered in, and worths that stand there twice."""
    works = {entry.values["code"].casefold(): entry.values for entry in readings["works"].entries}
    first: dict[tuple[object, ...], Entry] = {}
    for entry in readings["worths"].entries:
        work = works.get(entry.values["work"].casefold())
        width_mm, height_mm = entry.values["size"]
        sizes = [size[:2] for size in work["sizes"]] if work else []
        if work and (width_mm, height_mm) not in sizes:
            offered = "; ".join(format_size(*size, unit=unit) for size in sizes)
            yield entry.verdict(f"The work is not offered in this size; its sizes are {offered}.", column="size")
        finishes = [code.casefold() for code in work["finishes"]] if work else []
        if work and finishes and entry.values["finish"].casefold() not in finishes:
            offered = ", ".join(work["finishes"])
            yield entry.verdict(f"The work is not offered in this finish; its finishes are {offered}.", column="finish")
        key = (entry.values["work"].casefold(), entry.values["size"], entry.values["finish"].casefold())
        if key in first:
            yield entry.verdict(f"Row {first[key].number} says this already; keep one worth.", column="worth")
        first.setdefault(key, entry)


def pair_faults(readings: Readings) -> Iterator[Verdict]:
    """A work paired with itself, and pairs that stand there twice."""
    first: dict[tuple[object, ...], Entry] = {}
    for entry in readings["pairs"].entries:
        one, other = entry.values["one"].casefold(), entry.values["other"].casefold()
        key = (entry.values["kind"], frozenset((one, other)))
        if one == other:
            yield entry.verdict("A pair is of two works; write another work here.", column="other")
        elif key in first:
            yield entry.verdict(f"Row {first[key].number} has this pair already; take one of the two out.",
                                column="other")  # fmt: skip
        first.setdefault(key, entry)

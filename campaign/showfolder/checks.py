"""Rows against rows: codes that differ, references that hold, sums that can be right. Dates are in `check_dates.py`."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from campaign.measures.lengths import format_length, format_size
from campaign.showfolder.entries import Entry, Reading
from campaign.showfolder.fields import Context as _Context
from campaign.showfolder.fields import FieldRefused, code
from campaign.showfolder.headings import nearest
from campaign.showfolder.rows import Outcome, Verdict

Readings = Mapping[str, Reading]
# table, column and the table it points at
_REFERENCES = (
    ("blocked", "wall", "walls"),
    ("works", "finishes", "finishes"),
    ("recipes", "finish", "finishes"),
    ("recipes", "item", "prices"),
    ("edition", "work", "works"),
    ("works", "wall", "walls"),
    ("price steps", "item", "prices"),
    ("size prices", "item", "prices"),
    ("gifts", "item", "prices"),
    ("gifts", "work", "works"),
    ("worths", "work", "works"),
    ("worths", "finish", "finishes"),
    ("pairs", "one", "works"),
    ("pairs", "other", "works"),
)
_KEYS = {
    "walls": "code", "works": "code", "prices": "code", "finishes": "code", "costs": "name", "levels": "name",
    "closed days": "day", "deadlines": "name", "edition": "code",
}  # fmt: skip


def doubled_codes(readings: Readings) -> Iterator[Verdict]:
    """A refusal for every row whose code another row above it has."""
    for table, key in _KEYS.items():
        first: dict[str, Entry] = {}
        for entry in readings[table].entries:
            value = str(entry.values[key]).casefold()
            if value in first:
                sentence = f"Row {first[value].number} has this {key} already; give this row another."
                yield entry.verdict(sentence, column=key)
            else:
                first[value] = entry


def resolve_references(readings: Readings) -> tuple[dict[str, Reading], list[Verdict]]:
    """
    Bring every reference to the spelling of the row it points at.

    Returns: the readings with resolved references, and a refusal for each that points nowhere. Codes differ by more
        than case. A work without finishes gets all of them.
    """
    resolved = dict(readings)
    verdicts: list[Verdict] = []
    for table, column, target in _REFERENCES:
        if not (readings[target].is_whole and readings[table].is_whole):
            continue
        known = _codes_of(readings[target])
        entries: list[Entry] = []
        for entry in resolved[table].entries:
            value = entry.values[column]
            wanted = value if isinstance(value, tuple) else tuple(filter(None, (value,)))
            missing = [each for each in wanted if each.casefold() not in known]
            verdicts.extend(_nowhere(entry, each, column=column, target=target, known=known) for each in missing)
            found = tuple(known[each.casefold()] for each in wanted if each.casefold() in known)
            if isinstance(value, tuple):
                values = {**entry.values, column: found or (tuple(known.values()) if not value else ())}
            else:
                values = {**entry.values, column: found[0] if found else value}
            entries.append(replace(entry, values=values))
        resolved[table] = replace(resolved[table], entries=tuple(entries))
    return resolved, verdicts


def _codes_of(reading: Reading) -> dict[str, str]:
    found = {entry.values["code"].casefold(): entry.values["code"] for entry in reading.entries}
    for entry in reading.refused:
        try:
            spelled = code(entry.cells.get("code", ""), _Context())
        except FieldRefused:
            continue
        found.setdefault(spelled.casefold(), spelled)
    return found


def _nowhere(entry: Entry, wanted: str, *, column: str, target: str, known: Mapping[str, str]) -> Verdict:
    close = nearest(wanted, list(known.values()))
    hint = f"did you mean “{close}”?" if close else f"the codes there are: {', '.join(list(known.values())[:12])}."
    return entry.verdict(f"The table “{target}” has no code “{wanted}”; {hint}", column=column)


def blocked_faults(readings: Readings, *, unit: str) -> Iterator[Verdict]:
    """Blocked areas that reach beyond their wall."""
    walls = {entry.values["code"].casefold(): entry.values for entry in readings["walls"].entries}
    for entry in readings["blocked"].entries:
        wall = walls.get(entry.values["wall"].casefold())
        if wall is None:
            continue
        for start, extent in (("from left", "width"), ("from floor", "height")):
            end_mm = entry.values[start] + entry.values[extent]
            if end_mm > wall[extent]:
                over = format_length(end_mm - wall[extent], unit=unit)
                whole = format_length(wall[extent], unit=unit)
                sentence = f"It ends {over} beyond the wall’s {extent} of {whole}; measure {start} and {extent} again."
                yield entry.verdict(sentence, column=start)


def wall_faults(readings: Readings, *, centre_mm: int) -> Iterator[Verdict]:
    """Walls whose centre line lies above them, that their own margins use up, or with rows of no height."""
    for entry in readings["walls"].entries:
        values = entry.values
        if (values["centre"] or centre_mm) >= values["height"]:
            sentence = "The centre line is not on this wall; give the wall a lower centre of its own."
            yield entry.verdict(sentence, column="centre" if values["centre"] else "height")
        if 2 * values["end margin"] >= values["width"]:
            yield entry.verdict("The two end margins leave no wall; write smaller ones.", column="end margin")
        if values["rows"] == 2 and not values["row height"]:
            yield entry.verdict("Two rows need the height of the tallest work in a row; write it.", column="row height")


def options_no_wall_takes(readings: Readings, *, centre_mm: int, unit: str) -> Iterator[Verdict]:
    """
    Works that are larger in some or in every size and finish than any wall around its centre line.

    A single option is noted; a work of which nothing fits is refused, because a unit is wrong far more often.
    """
    walls = [entry.values for entry in readings["walls"].entries]
    frames = {
        entry.values["code"]: 2 * (entry.values["border"] + entry.values["mat"] + entry.values["moulding"])
        for entry in readings["finishes"].entries
    }
    if not walls or not frames or not readings["finishes"].is_whole:
        return
    room = [_room_on(wall, centre_mm=centre_mm) for wall in walls]
    for entry in readings["works"].entries:
        outers = {
            (width_mm + frames[finish], height_mm + frames[finish]): (finish, width_mm, height_mm)
            for width_mm, height_mm, _ in entry.values["sizes"]
            for finish in entry.values["finishes"]
            if finish in frames
        }
        too_large = [outer for outer in outers if not any(outer[0] <= w and outer[1] <= h for w, h in room)]
        if outers and len(too_large) == len(outers):
            sentence = "No wall is wide and high enough for this work in any size; check its sizes and the walls."
            yield entry.verdict(sentence, column="sizes")
            continue
        for outer in too_large:
            finish, width_mm, height_mm = outers[outer]
            which = f"{format_size(width_mm, height_mm, unit=unit)} in {finish}"
            sentence = f"No wall takes {which} ({format_size(*outer, unit=unit)} outside), so it will not be offered."
            yield entry.verdict(sentence, column="sizes", outcome=Outcome.NOTED)


def _room_on(wall: Mapping[str, int], *, centre_mm: int) -> tuple[int, int]:
    """Width and height of the largest thing a wall takes; with two rows, that one of them takes."""
    centre = wall["centre"] or centre_mm
    high = 2 * min(centre, wall["height"] - centre)
    return wall["width"] - 2 * wall["end margin"], min(high, wall["row height"]) if wall["rows"] == 2 else high


def level_faults(readings: Readings) -> Iterator[Verdict]:
    """Levels that do not rise."""
    before: Entry | None = None
    for entry in readings["levels"].entries:
        if before is not None and entry.values["money"] <= before.values["money"]:
            sentence = f"Levels rise from row to row, and row {before.number} is as much or more; put them in order."
            yield entry.verdict(sentence, column="money")
        before = entry

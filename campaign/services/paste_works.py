"""Works pasted from a spreadsheet: shown row by row first, then stored all together or not at all."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from campaign.errors import NotReady
from campaign.measures.lengths import format_length, format_size
from campaign.measures.money import format_minor
from campaign.models import Finish, Show, Wall, Work
from campaign.services.inputs import free_code, open_inputs
from campaign.services.pasting import Pasted, PastedRow, is_given, read_pasted, unknown_name
from campaign.services.works import SizeWish, set_sizes
from campaign.showfolder.entries import Entry
from campaign.showfolder.rows import Verdict
from campaign.showfolder.tables import WORKS

MOST_ROWS = 300
# Columns of the table and the fields that they set; sizes and finishes have rows of their own.
FIELDS = {
    "title": "title", "year": "year", "medium": "medium", "series": "series", "need": "need", "alt text": "alt_text",
    "must hang": "must_hang", "coverage": "coverage_percent", "net": "net_minor", "middle at": "pinned_middle_mm",
}  # fmt: skip


NAMES = {field: column for column, field in FIELDS.items()} | {"pinned_wall": "wall", "pinned_row": "row"}


@dataclass(frozen=True, slots=True)
class PastedWork(PastedRow):
    """One row and what it sets; `work` is None for a new one."""

    work: Work | None
    code: str
    fields: dict[str, Any]
    sizes: tuple[SizeWish, ...] | None
    finish_codes: tuple[str, ...] | None


def read_works(*, show: Show, text: str) -> Pasted[PastedWork]:
    """
    What the pasted `text` would do to the works of `show`; a work is known by its code, else by its title.

    An absent column or an empty cell leaves a known work as it is there; a new one needs a title and a size.
    """
    pasted = read_pasted(text, table=WORKS, show=show, most_rows=MOST_ROWS)
    works = list(show.works.select_related("pinned_wall").prefetch_related("sizes", "finishes"))
    known = _known(show)
    rows: list[PastedWork] = []
    verdicts = list(pasted.verdicts)
    seen: dict[str, int] = {}
    for entry in pasted.entries:
        work = _find(entry, works)
        name = (work.code if work else entry.values["code"] or entry.values["title"]).casefold()
        found = [*_faults(entry, work=work, known=known)]
        if name in seen and name:
            found.append(entry.verdict(f"Row {seen[name]} is the same work; keep one of the two."))
        seen.setdefault(name, entry.number or 0)
        verdicts.extend(found)
        if not found:
            rows.append(_row(entry, work=work, known=known))
    return Pasted.of(rows, verdicts=verdicts, noun="work")


@transaction.atomic(durable=True)
def store_works(*, show: Show, text: str) -> Pasted[PastedWork]:
    """
    Store what was pasted: every row or none.

    Writes: Work, Size; Show.inputs_version.
    Raises: PlanIsFixed; NotReady where a row cannot be read.
    Repeat: the same text again changes nothing.
    """
    current = open_inputs(show, doing="Works were pasted from a spreadsheet")
    pasted = read_works(show=current, text=text)
    if pasted.refusals:
        raise NotReady("Some rows cannot be read, so nothing was stored.")
    taken = set(current.works.values_list("code", flat=True))
    taken |= {row.code for row in pasted.rows}  # a code that is typed further down is not made for another row
    place = max(current.works.values_list("position", flat=True), default=0)
    finishes = {finish.code: finish for finish in current.finishes.all()}
    for row in pasted.rows:
        work = row.work
        if work is None:
            place += 1
            code = row.code or free_code(row.title, taken=taken, otherwise="work")
            taken.add(code)
            work = Work(show=current, code=code, position=place)
        elif not row.changes:
            continue
        for field, value in row.fields.items():
            setattr(work, field, value)
        work.save()
        if row.finish_codes is not None:
            work.finishes.set([finishes[code] for code in row.finish_codes if len(row.finish_codes) < len(finishes)])
        if row.sizes is not None:
            set_sizes(work, sizes=row.sizes)
    return pasted


@dataclass(frozen=True, slots=True)
class _Known:
    """What the rows may refer to, by code and by name as a code is spelled; and how the show writes figures."""

    show: Show
    finishes: dict[str, Finish]
    walls: dict[str, Wall]

    @property
    def finish_codes(self) -> set[str]:
        """Of all finishes."""
        return {finish.code for finish in self.finishes.values()}


def _known(show: Show) -> _Known:
    return _Known(
        show=show,
        finishes={_spelled(name): one for one in show.finishes.all() for name in (one.name, one.code)},
        walls={_spelled(name): one for one in show.walls.all() for name in (one.name, one.code)},
    )


def _spelled(name: str) -> str:
    return "-".join(name.split()).casefold()


def _find(entry: Entry, works: list[Work]) -> Work | None:
    code, title = (entry.values[name].casefold() if entry.values[name] else "" for name in ("code", "title"))
    if code:
        return next((work for work in works if work.code.casefold() == code), None)
    return next((work for work in works if title and work.title.casefold() == title), None)


def _faults(entry: Entry, *, work: Work | None, known: _Known) -> Iterator[Verdict]:
    for name in entry.values["finishes"] or ():
        if _spelled(name) not in known.finishes:
            yield unknown_name(entry, column="finishes", name=name, known=known.finish_codes, what="finish")
    if work is None:
        for column, needed in (("title", "a title"), ("sizes", "a print size such as 60 x 40 cm")):
            if not entry.values[column]:
                yield entry.verdict(f"A work that is new needs {needed}.", column=column)
    name = entry.values["wall"]
    if name and _spelled(name) not in known.walls:
        codes = {wall.code for wall in known.walls.values()}
        yield unknown_name(entry, column="wall", name=name, known=codes, what="wall")
        return
    wall, middle_mm = _wall(entry, work=work, known=known), entry.values["middle at"]
    if middle_mm is not None and wall is None:
        yield entry.verdict("A place needs its wall; write the wall as well.", column="middle at")
    elif wall and middle_mm is not None and middle_mm >= wall.width_mm:
        yield entry.verdict(f"{wall.name} is not that long; measure from its left end.", column="middle at")
    if wall and entry.values["row"] == 2 and wall.rows == 1:
        yield entry.verdict(f"{wall.name} has one row only.", column="row")


def _wall(entry: Entry, *, work: Work | None, known: _Known) -> Wall | None:
    """The wall the work is pinned to once the row is stored."""
    name = entry.values["wall"]
    return known.walls.get(_spelled(name)) if name else (work.pinned_wall if work else None)


def _row(entry: Entry, *, work: Work | None, known: _Known) -> PastedWork:
    values = {field: entry.values[column] for column, field in FIELDS.items() if is_given(entry, column)}
    if is_given(entry, "wall"):
        values = {"pinned_wall": _wall(entry, work=work, known=known), "pinned_middle_mm": None} | values
    if is_given(entry, "row"):
        values["pinned_row"] = entry.values["row"] - 1
    sizes = tuple(SizeWish(*size) for size in entry.values["sizes"]) if is_given(entry, "sizes") else None
    chosen = None
    if is_given(entry, "finishes"):
        chosen = tuple(dict.fromkeys(known.finishes[_spelled(name)].code for name in entry.values["finishes"]))
    return PastedWork(
        number=entry.number or 0,
        title=values.get("title", work.title if work else ""),
        is_new=work is None,
        work=work,
        code=entry.values["code"] or "",
        fields=values,
        sizes=sizes,
        finish_codes=chosen,
        changes=(
            *_field_changes(work, values=values, show=known.show),
            *_list_changes(work, sizes=sizes, chosen=chosen, known=known),
        ),
    )


def _field_changes(work: Work | None, *, values: dict[str, Any], show: Show) -> Iterator[str]:
    """What the row changes, a few words each; of a new work all that it says beside its title."""
    for field, value in values.items():
        before = getattr(work, field) if work else None
        if value == before or (work is None and field == "title"):
            continue
        was = f" instead of {_shown(field, before, show=show)}" if work else ""
        yield f"{NAMES.get(field, field)} {_shown(field, value, show=show)}{was}"


def _list_changes(
    work: Work | None, *, sizes: tuple[SizeWish, ...] | None, chosen: tuple[str, ...] | None, known: _Known
) -> Iterator[str]:
    if sizes is not None:
        there = {(s.width_mm, s.height_mm, s.factor_percent) for s in work.sizes.all()} if work else set()
        if {(s.width_mm, s.height_mm, s.factor_percent) for s in sizes} != there:
            yield "sizes " + ", ".join(_size_words(size, unit=known.show.length_unit) for size in sizes)
    if chosen is not None:
        own = {finish.code for finish in work.finishes.all()} if work else set()
        if set(chosen) != (own or known.finish_codes):
            yield f"finishes {', '.join(chosen)}"


def _shown(field: str, value: Any, *, show: Show) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field == "net_minor":
        return format_minor(value, currency=show.currency, locale=show.locale)
    if field == "pinned_middle_mm":
        return format_length(value, unit=show.length_unit)
    if field == "pinned_row":
        return str(value + 1)
    return str(value) if isinstance(value, int) else f"“{value}”"


def _size_words(size: SizeWish, *, unit: str) -> str:
    words = format_size(size.width_mm, size.height_mm, unit=unit)
    return words if size.factor_percent == 100 else f"{words} at {size.factor_percent} %"

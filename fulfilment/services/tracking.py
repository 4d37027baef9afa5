"""Tracking numbers from a table: looked at row by row, taken whole or not at all. Marking as posted itself: parcels."""

from dataclasses import dataclass
from datetime import datetime

from campaign.models import Copy, Show
from campaign.services.exports import CONTENT_TYPES as TYPES
from campaign.services.exports import FORMATS, ExportFile
from campaign.sheets import Column, Table, UnreadableSheet, read_back, write_csv
from fulfilment.models import Parcel
from fulfilment.packing import tidy_tracking_number, tracking_fault
from fulfilment.packing.scans import parcel_number, tidy_scan
from fulfilment.queries.parcel_list import export_parcels
from fulfilment.services.parcels import mark_posted

NUMBER = Column("Tracking number")
MOST_ROWS = 5_000


@dataclass(frozen=True, slots=True)
class TrackingRow:
    """A row: what it names, its number, what taking it does, or why it cannot be taken."""

    place: int
    named: str
    number: str
    code: str
    outcome: str
    fault: str


@dataclass(frozen=True, slots=True)
class TrackingSheet:
    """A table that was read; `text` is the same as CSV, to be sent again with the decision."""

    rows: tuple[TrackingRow, ...]
    text: str

    @property
    def faults(self) -> tuple[TrackingRow, ...]:
        """Rows that keep the whole from being taken."""
        return tuple(row for row in self.rows if row.fault)

    @property
    def changes(self) -> dict[str, str]:
        """Numbers by parcel code, of the rows that do something."""
        return {row.code: row.number for row in self.rows if row.outcome and not row.fault}


def read_tracking(*, show: Show, data: bytes) -> TrackingSheet:
    """
    What each row of a CSV file or workbook would do; rows without a number are passed over. Writes nothing.

    A parcel is named by its code (column Code) or by its number (column Parcel).
    Raises: UnreadableSheet.
    """
    named = Column("Code")
    try:
        pairs = read_back(data, table=Table("Tracking numbers", (named, NUMBER), show.currency))
    except UnreadableSheet as fault:
        if "“Code” is not there" not in str(fault):
            raise
        named = Column("Parcel")
        pairs = read_back(data, table=Table("Tracking numbers", (named, NUMBER), show.currency))
    if len(pairs) > MOST_ROWS:
        raise UnreadableSheet(f"The table has {len(pairs)} rows; at most {MOST_ROWS} are read at once.")
    numbered = [(place, str(name), str(number)) for place, (name, number) in enumerate(pairs, start=2)]
    kept = [row for row in numbered if row[2].strip()]
    parcels = list(Parcel.objects.filter(show=show))
    known = {parcel.code: parcel for parcel in parcels} | {str(parcel.number): parcel for parcel in parcels}
    empty = _empty_parcels(show)
    rows: list[TrackingRow] = []
    seen: set[str] = set()
    for place, name, number in kept:
        row = _row(place, name=name, number=tidy_tracking_number(number), known=known, seen=seen, empty=empty)
        rows.append(row)
        seen.add(row.code)
    text = write_csv(Table("Tracking numbers", (named, NUMBER), show.currency), [pair[1:] for pair in kept])
    return TrackingSheet(rows=tuple(rows), text=text.decode("utf-8-sig"))


def _empty_parcels(show: Show) -> set[int]:
    filled = Copy.objects.filter(parcel_copy__parcel__show=show, state=Copy.State.SPOKEN_FOR)
    return set(
        Parcel.objects.filter(show=show)
        .exclude(pk__in=filled.values("parcel_copy__parcel"))
        .values_list("pk", flat=True)
    )


def _row(
    place: int, *, name: str, number: str, known: dict[str, Parcel], seen: set[str], empty: set[int]
) -> TrackingRow:
    scan = tidy_scan(name)
    running = parcel_number(scan)
    parcel = known.get(scan) or known.get(str(running))
    if parcel is None:
        fault = f"“{name[:40]}” is no parcel of this show."
        return TrackingRow(place, name, number, "", "", fault)
    outcome, fault = _verdict(parcel, number=number, is_empty=parcel.pk in empty)
    if parcel.code in seen:
        fault = f"Parcel {parcel.number} stands in an earlier row too."
    return TrackingRow(place, f"parcel {parcel.number}, {parcel.name}", number, parcel.code, outcome, fault)


def _verdict(parcel: Parcel, *, number: str, is_empty: bool) -> tuple[str, str]:
    """What the row does, empty for nothing, and what is wrong with it, empty for nothing."""
    if fault := tracking_fault(number):
        return "", fault
    if number == parcel.tracking_number:
        return "", ""
    if parcel.noticed_at:
        return "", f"The notice for parcel {parcel.number} is written with another number."
    if parcel.is_posted:
        return "gets this number", ""
    if is_empty:
        return "", f"Every order in parcel {parcel.number} was cancelled."
    return "posted with this number", ""


def take_tracking(*, show: Show, sheet: TrackingSheet, by: str, now: datetime) -> int:
    """
    Take a table that was looked at, whole or not at all: its parcels are posted, and keep these numbers.

    Writes and raises: as `mark_posted`. A table with faults is not taken.
    Repeat: the same table again changes nothing. Returns how many parcels were newly posted.
    """
    assert not sheet.faults, "a table with faults is not offered to be taken"
    return mark_posted(show=show, tracking=sheet.changes, by=by, now=now)


def write_parcel_list(*, show: Show, file_format: str) -> ExportFile:
    """
    The list of parcels as `csv` or `xlsx`; read back before it is handed out, so that nothing is lost in it.

    Raises: KeyError for another format.
    """
    export = export_parcels(show)
    data = FORMATS[file_format](export.table, export.rows)
    assert read_back(data, table=export.table) == [tuple(row) for row in export.rows], "an export loses nothing"
    return ExportFile(f"{export.name}.{file_format}", TYPES[file_format], data, len(export.rows))

"""Reads a whole show folder; the folder itself is described in the package's docstring. Rows are stored elsewhere."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from campaign.measures.lengths import format_size
from campaign.showfolder import check_costs, check_orders, check_rules, checks
from campaign.showfolder.build import BUILDERS, size_rows, wall_row, zone_countries
from campaign.showfolder.check_dates import settings_faults
from campaign.showfolder.describe import describe, in_words
from campaign.showfolder.entries import Entry, Reading, read_sheet
from campaign.showfolder.fields import Context
from campaign.showfolder.rows import Outcome, ShowFolder, SizeRow, Verdict
from campaign.showfolder.settings import FIELDS, SettingsReading, read_settings
from campaign.showfolder.sheets import FileRefused
from campaign.showfolder.sources import SETTINGS_NAMES, Sources, find_sources
from campaign.showfolder.tables import TABLE_OF, TABLES
from campaign.showfolder.work_pictures import find_pictures, picture_faults, picture_of

_DEFAULT_CENTRE_MM = 1450
# Tables of which a folder without their file says nothing → field of ShowFolder.
_SPOKEN_OF = {
    "price steps": "price_steps",
    "size prices": "size_prices",
    "gifts": "gifts",
    "worths": "worths",
    "pairs": "pairs",
    "closed days": "closed_days",
    "deadlines": "deadlines",
    "taxes": "taxes",
}


def read_show_folder(path: Path | str) -> ShowFolder:
    """
    Read a whole show folder.

    Returns: rows in our units, and for every row of every file a verdict; `ok` when nothing was refused. Files are
        only read, never written.
    Raises: nothing for what is in the folder: a file that cannot be read is a refusal naming the file.
    """
    folder = Path(path)
    sources = find_sources(folder)
    settings = _settings(sources)
    readings, verdicts = _readings(sources, context=settings.context)
    if not (sources.sheets or sources.settings or sources.verdicts):
        verdicts = [
            Verdict(folder.name, None, Outcome.REFUSED, "The folder has no table at all; put the files of the show in.")
        ]
    readings, unresolved = checks.resolve_references(readings)
    centre_mm = settings.row.centre_mm if settings.row else _DEFAULT_CENTRE_MM
    pictures, picture_verdicts = _pictures(folder, readings["works"], unit=settings.context.length_unit or "mm")
    verdicts = [
        *sources.verdicts,
        *settings.verdicts,
        *verdicts,
        *unresolved,
        *_cross_checks(readings, settings, centre_mm=centre_mm),
        *picture_verdicts,
    ]
    rows = _rows(readings, centre_mm=centre_mm, pictures=pictures)
    return _folder(rows, readings, settings, verdicts, given=set(sources.sheets))


def _settings(sources: Sources) -> SettingsReading:
    if sources.settings is None and sources.is_unread(*SETTINGS_NAMES):
        return SettingsReading("", None, {}, (), Context())
    if sources.settings is None:
        sentence = "The folder has no settings; add show.toml or settings.csv."
        refusal = Verdict("show.toml", None, Outcome.REFUSED, sentence)
        return SettingsReading("show.toml", None, {}, (refusal,), Context())
    label, pairs = sources.settings
    return read_settings(pairs, label=label)


def _readings(sources: Sources, *, context: Context) -> tuple[dict[str, Reading], list[Verdict]]:
    readings: dict[str, Reading] = {}
    verdicts: list[Verdict] = []
    for table in TABLES:
        sheet = sources.sheets.get(table.name)
        readings[table.name] = Reading(is_whole=sheet is None and not table.is_required)
        if sheet is None:
            if table.is_required and not sources.is_unread(table.name, *table.aliases):
                sentence = f"The table “{table.name}” is missing; add {table.name}.csv or {table.name}.xlsx."
                verdicts.append(Verdict(f"{table.name}.csv", None, Outcome.REFUSED, sentence))
            continue
        try:
            readings[table.name] = read_sheet(sheet, table, context=context)
        except FileRefused as fault:
            verdicts.append(Verdict(sheet.label, None, Outcome.REFUSED, str(fault)))
            continue
        verdicts.extend(readings[table.name].verdicts)
        verdicts.extend(_row_count_faults(readings[table.name], table.name, sheet.label))
    return readings, verdicts


def _row_count_faults(reading: Reading, name: str, label: str) -> Iterator[Verdict]:
    table = TABLE_OF[name]
    if table.is_required and reading.is_whole and not (reading.entries or reading.refused):
        yield Verdict(label, None, Outcome.REFUSED, "The table has headings but no row; add at least one.")
    for entry in reading.entries[table.most_rows :] if table.most_rows else ():
        yield entry.verdict(f"The table “{name}” has one row; take this one out.")


def _cross_checks(readings: Mapping[str, Reading], settings: SettingsReading, *, centre_mm: int) -> Iterator[Verdict]:
    unit = settings.context.length_unit or "mm"
    yield from settings_faults(settings)
    yield from checks.doubled_codes(readings)
    yield from check_costs.recipe_faults(readings)
    yield from check_costs.step_faults(readings)
    yield from check_costs.price_faults(readings)
    yield from check_costs.table_faults(readings)
    yield from check_costs.gift_faults(readings)
    yield from checks.wall_faults(readings, centre_mm=centre_mm)
    yield from check_rules.pin_faults(readings, unit=unit)
    yield from check_rules.worth_faults(readings, unit=unit)
    yield from check_rules.pair_faults(readings)
    yield from checks.blocked_faults(readings, unit=unit)
    yield from checks.options_no_wall_takes(readings, centre_mm=centre_mm, unit=unit)
    yield from checks.level_faults(readings)
    yield from check_orders.postage_faults(
        readings,
        zones=zone_countries(readings["postage"].entries),
        home=settings.row.country if settings.row else "",
    )
    yield from check_orders.edition_faults(readings)
    yield from check_orders.tax_faults(readings)


def _pictures(folder: Path, works: Reading, *, unit: str) -> tuple[dict[str, Path], list[Verdict]]:
    files = find_pictures(folder) if works.entries else {}
    found: dict[str, Path] = {}
    verdicts: list[Verdict] = []
    for entry in works.entries:
        picture = picture_of(entry, files)
        if isinstance(picture, Verdict):
            verdicts.append(picture)
        else:
            found[entry.values["code"]] = picture
            verdicts.extend(picture_faults(entry, picture, unit=unit))
    return found, verdicts


def _rows(
    readings: Mapping[str, Reading], *, centre_mm: int, pictures: Mapping[str, Path]
) -> dict[str, tuple[Any, ...]]:
    """Table name → its rows, in step with the entries."""
    zones = zone_countries(readings["postage"].entries)
    rows: dict[str, tuple[Any, ...]] = {}
    for name, reading in readings.items():
        if name == "walls":
            rows[name] = tuple(wall_row(entry.values, centre_mm=centre_mm) for entry in reading.entries)
        else:
            rows[name] = tuple(BUILDERS[name](entry.values) for entry in reading.entries)
    rows["works"] = tuple(replace(row, picture=pictures.get(row.code)) for row in rows["works"])
    rows["postage"] = tuple(replace(row, countries=zones[row.zone]) for row in rows["postage"])
    return rows


def _folder(
    rows: Mapping[str, tuple[Any, ...]],
    readings: Mapping[str, Reading],
    settings: SettingsReading,
    verdicts: list[Verdict],
    *,
    given: Collection[str],
) -> ShowFolder:
    refused = {(verdict.file, verdict.row) for verdict in verdicts if verdict.outcome is Outcome.REFUSED}
    sizes: list[SizeRow] = []
    for entry in readings["works"].entries:
        sizes.extend(size_rows(entry.values))
    said = [*verdicts, *_settings_read(settings, refused)]
    for name, reading in readings.items():
        for entry, row in zip(reading.entries, rows[name], strict=True):
            if (entry.file, entry.number) not in refused:
                said.append(entry.verdict(_words(entry, row, settings), outcome=Outcome.OK))
    order = {label: place for place, label in enumerate(dict.fromkeys(verdict.file for verdict in said))}
    return ShowFolder(
        settings=settings.row,
        walls=rows["walls"],
        blocked_areas=rows["blocked"],
        works=rows["works"],
        sizes=tuple(sizes),
        finishes=rows["finishes"],
        recipe_lines=rows["recipes"],
        price_book=rows["prices"],
        show_costs=rows["costs"],
        editions=rows["edition"],
        levels=rows["levels"],
        postage=rows["postage"],
        **{name: rows[table] if table in given else None for table, name in _SPOKEN_OF.items()},
        verdicts=tuple(sorted(said, key=lambda verdict: (order[verdict.file], verdict.row or 0))),
    )


def _words(entry: Entry, row: object, settings: SettingsReading) -> str:
    sizes = size_rows(entry.values) if "sizes" in entry.values else ()
    unit = settings.context.length_unit or "mm"
    offered = [f"{format_size(size.width_mm, size.height_mm, unit=unit)} at {size.factor_percent} %" for size in sizes]
    return "; ".join([describe(row, settings=settings.row), *offered])


def _settings_read(settings: SettingsReading, refused: set[tuple[str, int | None]]) -> Iterator[Verdict]:
    unit = settings.context.length_unit or "mm"
    for name, entry in settings.entries.items():
        if (entry.file, entry.number) not in refused and name in entry.values:
            value = in_words(FIELDS[name], entry.values[name], unit=unit, currency=settings.context.currency)
            yield Verdict(entry.file, entry.number, Outcome.OK, f"{name} {value}", column=entry.spelled[name])

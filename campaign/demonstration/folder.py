"""Writes the demonstration show folder the way an artist would hand it over. Reading it is `campaign.showfolder`'s."""

import csv
import io
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import openpyxl
from openpyxl.styles import Font
from PIL import Image

from campaign.demonstration import papers
from campaign.demonstration.catalogue import WORKS, draw_work
from campaign.demonstration.papers import Row

_EURO = '#,##0.00 "€"'
_FRIDAY = 4


def write_demonstration_folder(path: Path | str, *, today: date, with_pictures: bool = True) -> Path:
    """
    Write the whole demonstration show: settings, tables and pictures.

    Parameters: path, made if it is missing, files in it are overwritten; today, from which all dates are counted: the
        campaign is open since twelve days and closes in eighteen, the opening is a Friday about nine weeks away;
        with_pictures, False to leave out what takes seconds (the works are then refused when the folder is read).
    Returns: the folder. Pictures are the same bytes every time; tables differ in their dates only.
    Notes: as untidy as real ones, on purpose: three delimiters, two encodings, a workbook beside text tables.
    """
    folder = Path(path)
    (folder / "pictures").mkdir(parents=True, exist_ok=True)
    (folder / "show.toml").write_text(_settings(today), encoding="utf-8")
    _write_csv(folder / "Walls.csv", papers.WALLS, delimiter=";", encoding="utf-8-sig")
    _write_csv(folder / "blocked areas.csv", papers.BLOCKED, delimiter=",", encoding="utf-8")
    _write_csv(folder / "List of works.csv", papers.works_rows(), delimiter=";", encoding="utf-8-sig", empty_rows=3)
    _write_csv(folder / "edition.csv", papers.edition_rows(today), delimiter=";", encoding="cp1252")
    _write_csv(folder / "levels.csv", papers.LEVELS, delimiter=";", encoding="cp1252")
    _write_csv(folder / "gifts in kind.csv", papers.GIFTS, delimiter=",", encoding="utf-8")
    _write_csv(folder / "pairs.csv", papers.PAIRS, delimiter=";", encoding="utf-8")
    _write_csv(folder / "own worths.csv", papers.WORTHS, delimiter=";", encoding="utf-8")
    _write_csv(folder / "closed days.csv", papers.closed_days_rows(today), delimiter=";", encoding="utf-8")
    _write_csv(folder / "deadlines.csv", papers.deadlines_rows(today), delimiter=";", encoding="utf-8")
    _write_csv(folder / "postage.csv", papers.POSTAGE, delimiter="\t", encoding="utf-8")
    _write_workbook(folder / "Price book.xlsx", today=today)
    for work in WORKS if with_pictures else ():
        _write_picture(folder / "pictures" / work.file, draw_work(work))
    return folder


def _settings(today: date) -> str:
    opening = today + timedelta(days=61)
    opening += timedelta(days=(_FRIDAY - opening.weekday()) % 7)
    cautions = "\n".join(f'  "{caution}",' for caution in papers.CAUTIONS)
    return papers.SETTINGS.format(
        statement=papers.STATEMENT,
        cautions=cautions,
        opens=today - timedelta(days=12),
        closes=today + timedelta(days=18),
        posting=today + timedelta(days=50),
        hanging=opening - timedelta(days=2),
        opening=opening,
        last_day=opening + timedelta(days=16),
        old_prices=today - timedelta(days=20),
    )


def _write_csv(path: Path, rows: Sequence[Row], *, delimiter: str, encoding: str, empty_rows: int = 0) -> None:
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter, lineterminator="\r\n")
    writer.writerows(rows)
    writer.writerows([[""] * len(rows[0])] * empty_rows)
    path.write_bytes(text.getvalue().encode(encoding))


def _write_workbook(path: Path, *, today: date) -> None:
    book = openpyxl.Workbook()
    del book["Sheet"]
    _add_sheet(book, "Price book", papers.PRICES, title="What things cost, seen in three shops", euro_column=5)
    _add_sheet(book, "Price steps", papers.PRICE_STEPS, title="Cheaper by the number of packs")
    _add_sheet(book, "Size prices", papers.SIZE_PRICES, title="The lab, by size")
    _add_sheet(book, "Finishes", papers.FINISHES, title="How a print can hang")
    _add_sheet(book, "Recipes", papers.RECIPES, title="What goes into each finish", percent_column=5)
    _add_sheet(book, "Show costs", papers.COSTS, title="Paid once, however many works hang", euro_column=2)
    prices = book["Price book"]
    for row in range(4, prices.max_row + 1):
        cell = prices.cell(row, 7)
        cell.value = today + timedelta(days=int(str(cell.value)))
        cell.number_format = "dd.mm.yyyy"
    book.save(path)


def _add_sheet(
    book: openpyxl.Workbook,
    name: str,
    rows: Sequence[Row],
    *,
    title: str,
    euro_column: int | None = None,
    percent_column: int | None = None,
) -> None:
    sheet = book.create_sheet(name)
    sheet.append([title])
    sheet["A1"].font = Font(size=14, bold=True)
    sheet.append([])
    for row in rows:
        sheet.append(list(row))
    for number_format, column in ((_EURO, euro_column), ("0%", percent_column)):
        for row_number in range(4, sheet.max_row + 1) if column else ():
            sheet.cell(row_number, column).number_format = number_format


def _write_picture(path: Path, image: Image.Image) -> None:
    if path.suffix == ".png":
        image.save(path, format="PNG", compress_level=3)
    else:
        image.save(path, format="JPEG", quality=88)

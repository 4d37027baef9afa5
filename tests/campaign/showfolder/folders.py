"""A small sound show folder as text, to plant one mistake in."""

import io
from pathlib import Path

import openpyxl
from PIL import Image

SETTINGS = """\
title = "Small Show"
artist = "Nobody Real"
email = "studio@example.org"
currency = "EUR"
country = "DE"
time_zone = "Europe/Berlin"
units = "cm"
venue_name = "The Shed"
studio_address = "Musterweg 1; 12345 Musterstadt"
hanging_date = 2026-05-13
opening = 2026-05-15 18:00:00
last_day = 2026-05-31
campaign_opens = 2026-03-01 09:00:00
campaign_closes = 2026-04-10 20:00:00
cancel_until = 2026-04-10
posting_by = 2026-05-10
printer_hours = 10
printer_speed = 2
iban = "DE89 3704 0044 0532 0130 00"
account_holder = "Nobody Real"
"""

TABLES = {
    "walls.csv": "code,name,width,height\nnorth,North wall,5 m,280 cm\n",
    "blocked.csv": "wall,name,kind,from left,from floor,width,height\nnorth,door,door,10 cm,0,90 cm,200 cm\n",
    "works.csv": (
        "code,title,need,sizes,finishes,picture\n"
        "w01,First,5,60x40cm; 90x60cm = 130%,,w01.png\n"
        "w02,Second,3,60x40cm,pinned,w02.png\n"
    ),
    "prices.csv": (
        "code,name,unit,price,per,mass\npaper,Paper,m2,20,1,300 g\npins,Pins,piece,5,100,1 g\nash,Ash,m,6,1,200 g\n"
    ),
    "finishes.csv": "code,name,worth,moulding\npinned,Pinned,40,0\ntray,Tray frame,80,2 cm\n",
    "recipes.csv": (
        "finish,item,basis,quantity,waste\npinned,paper,print area,1,10%\npinned,pins,piece,4,0\n"
        "tray,paper,print area,1,10%\ntray,ash,outer perimeter,1,10%\n"
    ),
    "costs.csv": "name,amount\nCards,64\nOpening,90\n",
    "edition.csv": (
        "code,title,work,print size,copies,price,make cost,pack cost,mass,parcel size\n"
        "first,First,w01,30x20 cm,60,40,4,2,200 g,35x25x1 cm\n"
    ),
    "levels.csv": "name,money,promise\nOne,400,It opens.\nTwo,800,It is framed.\n",
    "postage.csv": "zone,countries,up to,charge,cost\nHome,DE,2,5,4\nEU,EU,2,10,9\nRest,*,2,15,14\n",
}


def picture(width_px: int = 90, height_px: int = 60) -> bytes:
    """A plain PNG."""
    target = io.BytesIO()
    Image.new("RGB", (width_px, height_px), "teal").save(target, format="PNG")
    return target.getvalue()


def write_folder(path: Path, *, settings: str = SETTINGS, **changes: str | bytes | None) -> Path:
    """
    Write the small show.

    changes: file name with "." written "__" → its new text or bytes, or None to leave the file out.
    """
    files: dict[str, str | bytes | None] = {"show.toml": settings, **TABLES, "w01.png": picture(), "w02.png": picture()}
    files |= {name.replace("__", "."): content for name, content in changes.items()}
    for name, content in files.items():
        if content is not None:
            (path / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def workbook(sheets: dict[str, list[list[object]]], formats: dict[str, str] | None = None) -> bytes:
    """An XLSX file; formats: cell address → number format, on the first sheet."""
    book = openpyxl.Workbook()
    del book["Sheet"]
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    for address, number_format in (formats or {}).items():
        book.worksheets[0][address].number_format = number_format
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def rows_of(text: str) -> list[list[object]]:
    """A simple CSV text as rows."""
    return [list(line.split(",")) for line in text.strip().split("\n")]

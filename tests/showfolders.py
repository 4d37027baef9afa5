"""A small show folder on disk, as an artist would keep it; tests change a table's text before it is read."""

from pathlib import Path

from PIL import Image

SETTINGS = """\
title = "Two rooms of tide"
code = "tide"
artist = "Wanda Probe"
email = "wanda@studio.example"
country = "DE"
currency = "EUR"
"time zone" = "Europe/Berlin"
units = "cm"
"studio address" = ["Wanda Probe", "Beispielweg 1", "12345 Musterstadt"]
iban = "DE89 3704 0044 0532 0130 00"
"account holder" = "Wanda Probe"
"cash note" = "In the studio on Saturdays"
commission = "30 %"
"set aside" = "5 %"
"printer hours" = "60"

[venue]
name = "Musterraum"
address = "Beispielplatz 2, 12345 Musterstadt"

[dates]
opens = "2026-09-01 10:00"
closes = "2026-10-15 22:00"
"cancel until" = "2026-10-15"
hanging = "2026-11-19"
opening = "2026-11-20 18:00"
"last day" = "2026-12-20"
"posting by" = "2026-12-01"
"""
TABLES = {
    "walls": "Wall;Name;Width;Height;Centre\nA;Long wall;6,20 m;3 m;145 cm\nB;Short wall;310;300;\n",
    "blocked": "wall;name;kind;from left;from floor;width;height\nA;Door;door;500;0;90;210\n",
    "works": (
        "code,title,need,sizes,finishes,picture\n"
        "t1,Ebb,5,60x40; 90x60 (130%),,ebb.png\n"
        "t2,Flood,4,40x60,plain,flood.png\n"
        "t3,Slack,3,60x40,,slack.png\n"
    ),
    "prices": (
        "code;name;unit;price;per;mass per unit\n"
        "paper;Cotton paper;m2;€ 18,00;1;300 g\n"
        "frame;Oak moulding;m;4,20;1;450 g\n"
        "glass;Glass;m2;1.050,00 €;25;5 kg\n"
        "hour;Making up;hour;24;;\n"
    ),
    "finishes": "code;name;worth;border;mat;moulding\nplain;Sheet on pins;40;2;0;0\nframed;Framed;100;0;5;2\n",
    "recipes": (
        "finish;item;basis;quantity;waste\n"
        "plain;paper;print area;1;10 %\n"
        "framed;paper;print area;1;10 %\n"
        "framed;frame;outer perimeter;1;12 %\n"
        "framed;glass;outer area;1;0\n"
        "framed;hour;minute;30;0\n"
    ),
    "costs": "name;amount;note\nCards;60,00;250 cards\nReception;45;\n",
    "edition": (
        "code;title;work;print size;paper;copies;price;limit;make cost;pack cost;mass;parcel size\n"
        "ebb-print;Ebb, the print;t1;40 x 30 cm;Cotton paper;20;65,00;2;9,50;2,40;400 g;45x10x10\n"
    ),
    "levels": "name;money;promise\nThe bare wall;150;Two works hang\nThe long wall;400;All three hang framed\n",
    "postage": (
        "zone;countries;up to copies;charge;cost\nhome;DE;2;6,90;5,49\nEurope;EU;2;14;12,90\nworld;*;2;22,00;19,50\n"
    ),
}
COLOURS = {
    "ebb.png": ((900, 600), "#7aa0b0"),
    "flood.png": ((600, 900), "#20506a"),
    "slack.png": ((900, 600), "#c7b58a"),
}


def write_folder(path: Path, *, settings: str = SETTINGS, **tables: str) -> Path:
    """Write the folder into `path` (made if missing); a keyword replaces the table of that name."""
    path.mkdir(parents=True, exist_ok=True)
    (path / "show.toml").write_text(settings, encoding="utf-8")
    for name, text in (TABLES | tables).items():
        (path / f"{name}.csv").write_text(text, encoding="utf-8")
    for name, (size, colour) in COLOURS.items():
        Image.new("RGB", size, colour).save(path / name)
    return path

"""The tables of a show folder: their file names, their columns and every heading that is understood."""

from collections.abc import Mapping
from datetime import time

from campaign.showfolder.cost_tables import COSTS as COSTS
from campaign.showfolder.cost_tables import FINISHES, GIFTS, PRICES, RECIPES, SIZE_PRICES, STEPS
from campaign.showfolder.countries import countries
from campaign.showfolder.fields import (
    choice,
    code,
    codes,
    count,
    coverage,
    day,
    flag,
    length,
    money,
    parcel,
    prose,
    size,
    sizes,
    tax_rate,
    text,
    weight,
)
from campaign.showfolder.headings import Column, Table
from campaign.showfolder.moments import moment
from campaign.showfolder.rule_tables import CLOSED_DAYS, DEADLINES, PAIRS, WORTHS

_KINDS = {
    "door": "door", "doors": "door", "doorway": "door", "exit": "door", "window": "window", "windows": "window",
    "switch": "switch", "light switch": "switch", "socket": "switch", "sockets": "switch", "outlet": "switch",
    "plug": "switch", "thermostat": "switch", "alarm": "switch", "radiator": "radiator", "heater": "radiator",
    "heating": "radiator", "other": "other", "shelf": "other", "pipe": "other", "column": "other", "sign": "other",
    "extinguisher": "other", "fire extinguisher": "other", "notice board": "other", "clock": "other",
}  # fmt: skip
WALLS = Table(
    name="walls",
    aliases=("wall", "room"),
    columns=(
        Column("code", code, ("wall", "wall code", "id", "no", "nr", "key")),
        Column("name", text(80), ("title", "wall name", "what", "description"), False, ""),
        Column("width", length(), ("w", "wide", "breadth", "length", "wall width", "wall length")),
        Column("height", length(), ("h", "high", "wall height", "ceiling", "ceiling height")),
        Column("centre", length(), ("center", "centre line", "center line", "centre height", "center height",
                                    "eye line", "eye level", "centre line height"), False),
        Column("end margin", length(allow_zero=True), ("margin", "margins", "end gap", "side margin", "ends",
                                                       "keep free", "keep free at the ends"), False, 0),
        Column("material", text(120), ("made of", "substrate", "surface", "wall material"), False, ""),
        Column("load note", text(300), ("load", "note", "notes", "fixing", "fixings", "hooks", "remark", "remarks"),
               False, ""),
        Column("rows", count(1, 2), ("number of rows", "how many rows"), False, 1),
        Column("row height", length(), ("height of a row", "tallest in a row", "tallest work"), False, 0),
        Column("row gap", length(allow_zero=True), ("between rows", "gap between rows"), False, 0),
        Column("minimum gap", length(allow_zero=True), ("gap", "min gap", "smallest gap"), False),
    ),
)  # fmt: skip

BLOCKED = Table(
    name="blocked",
    aliases=("blocked areas", "blocked area", "obstacles", "doors and windows", "doors windows", "keep free"),
    is_required=False,
    columns=(
        Column("wall", code, ("wall code", "on wall"), carries=True),
        Column("name", text(80), ("what", "what it is", "title", "description", "label"), False, ""),
        Column("kind", choice(_KINDS, example="door, window, switch, radiator or other"), ("type", "sort"), False,
               "other"),
        Column("from left", length(allow_zero=True), ("left", "x", "distance from left", "from the left",
                                                      "left edge", "left to edge")),
        Column("from floor", length(allow_zero=True), ("floor", "bottom", "y", "above floor", "from bottom",
                                                       "height above floor", "from the floor", "lower edge"),
               False, 0),
        Column("width", length(), ("w", "wide", "breadth")),
        Column("height", length(), ("h", "high", "tall")),
    ),
)  # fmt: skip

WORKS = Table(
    name="works",
    aliases=("work", "artworks", "pieces", "list of works", "work list", "worklist"),
    columns=(
        Column("code", code, ("work", "work code", "id", "no", "nr", "number", "key", "inventory", "inv no")),
        Column("title", text(160), ("name", "work title")),
        Column("year", text(20), ("date", "made", "made in"), False, ""),
        Column("medium", text(120), ("technique", "media", "material", "materials"), False, ""),
        Column("need", count(1, 5), ("importance", "priority", "how much needed", "need 1 5", "rank", "stars"),
               False, 3),
        Column("sizes", sizes, ("size", "print size", "print sizes", "formats", "format", "dimensions",
                                "image size")),
        Column("finishes", codes, ("finish", "finish codes", "presented", "presentation", "allowed finishes"),
               False, ()),
        Column("series", text(80), ("group", "cycle", "part of"), False, ""),
        Column("picture", text(200), ("image", "file", "picture file", "image file", "photo", "jpg", "filename",
                                      "file name"), False, ""),
        Column("alt text", text(300), ("alt", "description", "what is seen", "picture description",
                                       "image description"), False, ""),
        Column("must hang", flag, ("must", "always", "has to hang", "must be there"), False, False),
        Column("coverage", coverage, ("ink", "ink coverage", "ink cover"), False, 100),
        Column("wall", code, ("pinned to", "on wall", "pinned wall", "hangs on"), False, ""),
        Column("middle at", length(allow_zero=True), ("pinned at", "middle from left", "place on wall"), False),
        Column("row", count(1, 2), ("pinned row", "in row"), False, 1),
        Column("net", money(), ("net price", "to be left", "target net", "net wanted"), False),
    ),
)  # fmt: skip

EDITION = Table(
    name="edition",
    aliases=("print", "prints", "editions", "edition print", "pre order", "preorder"),
    columns=(
        Column("code", code, ("edition", "edition code", "id", "key")),
        Column("title", text(160), ("name", "print title")),
        Column("work", code, ("work code", "of work", "from work", "image")),
        Column("print size", size, ("size", "image size", "sheet size", "paper size", "format")),
        Column("paper", text(160), ("stock", "printed on", "paper name", "material"), False, ""),
        Column("description", prose(4000), ("about", "text", "note", "notes"), False, ""),
        Column("copies", count(1, 5000), ("edition size", "number of copies", "how many", "run", "impressions")),
        Column("price", money(allow_zero=False), ("price each", "price per copy", "cost", "selling price")),
        Column("limit per person", count(1, 100), ("limit", "per person", "max per person", "most per person",
                                                   "maximum"), False, 2),
        Column("proofs", count(0, 500), ("artist's proofs", "artists proofs", "ap", "a p"), False, 0),
        Column("sold from", moment(without_time=time(0, 0)), ("orders from", "available from"), False),
        Column("sold until", moment(without_time=time(23, 59)), ("orders until", "available until"), False),
        Column("make cost", money(), ("make", "making", "printing cost", "cost to make", "paper and ink")),
        Column("pack cost", money(), ("pack", "packing", "packaging", "packing cost", "packaging cost"), False, 0),
        Column("mass", weight, ("weight", "packed weight", "packed mass", "parcel weight")),
        Column("parcel size", parcel, ("parcel", "packed size", "package", "box", "packet", "packet size")),
    ),
)  # fmt: skip

LEVELS = Table(
    name="levels",
    aliases=("level", "steps", "funding levels", "milestones"),
    is_required=False,
    columns=(
        Column("name", text(80), ("level", "title", "step")),
        Column("money", money(allow_zero=False), ("amount", "wall money", "from", "at", "sum", "needed")),
        Column("promise", prose(2000), ("what", "text", "description", "then", "what happens"), False, ""),
    ),
)

POSTAGE = Table(
    name="postage",
    aliases=("post", "shipping", "postage rates", "shipping rates", "delivery"),
    columns=(
        Column("zone", text(60), ("name", "zone name", "region", "where", "to"), carries=True),
        Column("countries", countries, ("country", "country codes", "codes", "for countries"), False, ()),
        Column("up to copies", count(1, 1000), ("up to", "copies", "prints", "max copies", "quantity"), False),
        Column("up to weight", weight, ("up to mass", "max weight", "weight", "weight up to"), False),
        Column("valid from", day, ("from", "since", "from day", "new from"), False),
        Column("charge", money(), ("price", "backer pays", "postage", "we charge", "fee", "charged")),
        Column("cost", money(), ("costs", "real cost", "i pay", "actual", "actual cost", "our cost", "stamp"), False),
    ),
)

_HOW_TAX = {
    "inside": "inside", "included": "inside", "in": "inside", "held": "inside", "incl": "inside", "added": "added",
    "on top": "added", "plus": "added", "excluded": "added", "excl": "added",
}  # fmt: skip

TAXES = Table(
    name="taxes",
    aliases=("tax", "vat", "tax rates", "sales tax"),
    is_required=False,
    columns=(
        Column("name", text(60), ("tax name", "called", "kind")),
        Column("countries", countries, ("country", "country codes", "codes", "for countries")),
        Column("rate", tax_rate, ("percent", "tax rate", "per cent")),
        Column("how", choice(_HOW_TAX, example="inside or added"), ("inside or added", "included"), False, "inside"),
        Column("on postage", flag, ("postage too", "postage", "covers postage"), False, True),
        Column("valid from", day, ("from", "since", "from day", "new from"), False),
    ),
)

TABLES = (
    WALLS, BLOCKED, WORKS, PRICES, STEPS, SIZE_PRICES, FINISHES, RECIPES, COSTS, EDITION, LEVELS, POSTAGE, GIFTS,
    WORTHS, PAIRS, CLOSED_DAYS, DEADLINES, TAXES,
)  # fmt: skip
TABLE_OF: Mapping[str, Table] = {table.name: table for table in TABLES}

"""The tables of a show folder: their file names, their columns and every heading that is understood."""

from collections.abc import Mapping
from dataclasses import dataclass

from campaign.showfolder.countries import countries
from campaign.showfolder.fields import (
    choice,
    code,
    codes,
    count,
    day,
    flag,
    length,
    milli,
    money,
    parcel,
    percent,
    prose,
    size,
    sizes,
    text,
    weight,
)
from campaign.showfolder.headings import Column


@dataclass(frozen=True, slots=True)
class Table:
    """
    One table. name: of the file or sheet. aliases: other names for it. is_required: a show cannot do without.

    most_rows: how many rows it may have, 0 = no limit of its own.
    """

    name: str
    columns: tuple[Column, ...]
    aliases: tuple[str, ...] = ()
    is_required: bool = True
    most_rows: int = 0


_KINDS = {
    "door": "door", "doors": "door", "doorway": "door", "exit": "door", "window": "window", "windows": "window",
    "switch": "switch", "light switch": "switch", "socket": "switch", "sockets": "switch", "outlet": "switch",
    "plug": "switch", "thermostat": "switch", "alarm": "switch", "radiator": "radiator", "heater": "radiator",
    "heating": "radiator", "other": "other", "shelf": "other", "pipe": "other", "column": "other", "sign": "other",
    "extinguisher": "other", "fire extinguisher": "other", "notice board": "other", "clock": "other",
}  # fmt: skip
_UNITS = {
    "piece": "piece", "pieces": "piece", "pc": "piece", "pcs": "piece", "each": "piece", "ea": "piece",
    "item": "piece", "sheet": "piece", "sheets": "piece", "print": "piece", "set": "piece", "pair": "piece",
    "unit": "piece", "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "lm": "m",
    "running metre": "m", "linear metre": "m", "running meter": "m", "linear meter": "m", "m2": "m2", "m²": "m2",
    "sqm": "m2", "sq m": "m2", "qm": "m2", "m^2": "m2", "square metre": "m2", "square metres": "m2",
    "square meter": "m2", "square meters": "m2", "minute": "minute", "minutes": "minute", "min": "minute",
    "mins": "minute", "hour": "hour", "hours": "hour", "h": "hour", "hr": "hour",
}  # fmt: skip
_BASES = {
    "piece": "piece", "pieces": "piece", "each": "piece", "per piece": "piece", "per work": "piece", "work": "piece",
    "once": "piece", "pc": "piece", "print area": "print_area", "print": "print_area", "area": "print_area",
    "per print area": "print_area", "image area": "print_area", "paper area": "print_area",
    "outer area": "outer_area", "frame area": "outer_area", "outside area": "outer_area",
    "per outer area": "outer_area", "outer perimeter": "outer_perimeter", "perimeter": "outer_perimeter",
    "frame perimeter": "outer_perimeter", "edge": "outer_perimeter", "edges": "outer_perimeter",
    "around": "outer_perimeter", "all round": "outer_perimeter", "per outer perimeter": "outer_perimeter",
    "minute": "minute", "minutes": "minute", "per minute": "minute", "time": "minute", "work time": "minute",
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
    ),
)  # fmt: skip

FINISHES = Table(
    name="finishes",
    aliases=("finish", "presentations", "frames", "framing"),
    columns=(
        Column("code", code, ("finish", "finish code", "id", "key", "no", "nr")),
        Column("name", text(120), ("title", "what", "what it is", "description", "finish name")),
        Column("worth", count(0, 100), ("points", "score", "looks", "worth 0 100", "how good", "quality")),
        Column("border", length(allow_zero=True), ("paper border", "white border", "margin", "border width"),
               False, 0),
        Column("mat", length(allow_zero=True), ("matt", "mat width", "window mat", "passepartout", "mat border",
                                                "mount width"), False, 0),
        Column("moulding", length(allow_zero=True), ("molding", "frame", "frame width", "moulding width",
                                                     "molding width", "profile", "edge"), False, 0),
        Column("printed at home", flag, ("home", "at home", "home print", "own printer", "self printed",
                                         "printed here", "i print it"), False, True),
    ),
)  # fmt: skip

RECIPES = Table(
    name="recipes",
    aliases=("recipe", "recipe lines", "finish recipes", "bill of materials"),
    columns=(
        Column("finish", code, ("finish code", "for", "for finish"), carries=True),
        Column("item", code, ("price", "item code", "material", "price code", "needs", "ingredient", "part")),
        Column("basis", choice(_BASES, example="piece, print area, outer area, outer perimeter or minute"),
               ("per", "measured by", "counted by", "by", "for each")),
        Column("quantity", milli, ("qty", "amount", "how many", "times", "how much", "count"), False, 1000),
        Column("waste", percent, ("waste %", "loss", "offcut", "offcuts", "spoil", "allowance", "waste allowance"),
               False, 0),
    ),
)  # fmt: skip

PRICES = Table(
    name="prices",
    aliases=("price book", "pricebook", "price list", "pricelist", "materials", "price"),
    columns=(
        Column("code", code, ("item", "item code", "id", "key", "no", "nr", "article", "sku")),
        Column("name", text(120), ("title", "what", "description", "item name", "material")),
        Column("unit", choice(_UNITS, example="piece, m, m2, minute or hour"), ("sold by", "unit of measure", "uom")),
        Column("price", money(), ("cost", "amount", "net price", "price each", "pack price", "price per pack")),
        Column("per", milli, ("pack", "pack size", "packsize", "for", "units per pack", "contents", "in a pack",
                              "quantity"), False, 1000),
        Column("mass per unit", weight, ("mass", "weight", "weight per unit", "unit weight", "unit mass"), False, 0),
        Column("priced on", day, ("date", "price date", "checked", "as of", "price from", "priced", "seen on"), False),
    ),
)  # fmt: skip

COSTS = Table(
    name="costs",
    aliases=("show costs", "showcosts", "cost", "expenses", "fixed costs", "other costs"),
    is_required=False,
    columns=(
        Column("name", text(120), ("what", "item", "title", "cost", "description", "expense")),
        Column("amount", money(), ("price", "money", "sum", "total", "value", "cost amount")),
        Column("note", text(300), ("notes", "remark", "remarks", "comment", "why"), False, ""),
    ),
)

EDITION = Table(
    name="edition",
    aliases=("print", "editions", "edition print", "pre order", "preorder"),
    most_rows=1,
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
        Column("up to copies", count(1, 1000), ("up to", "copies", "prints", "max copies", "quantity"), False, 1000),
        Column("charge", money(), ("price", "backer pays", "postage", "we charge", "fee", "charged")),
        Column("cost", money(), ("costs", "real cost", "i pay", "actual", "actual cost", "our cost", "stamp"), False),
    ),
)

TABLES = (WALLS, BLOCKED, WORKS, PRICES, FINISHES, RECIPES, COSTS, EDITION, LEVELS, POSTAGE)
TABLE_OF: Mapping[str, Table] = {table.name: table for table in TABLES}

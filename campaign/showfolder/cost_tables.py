"""The tables of a show folder that say what things cost: columns and every heading that is understood."""

from campaign.showfolder.fields import (
    choice,
    code,
    count,
    day,
    flag,
    length,
    milli,
    money,
    percent,
    shelf,
    size,
    text,
    weight,
)
from campaign.showfolder.headings import Column, Table

_UNITS = {
    "piece": "piece", "pieces": "piece", "pc": "piece", "pcs": "piece", "each": "piece", "ea": "piece",
    "item": "piece", "sheet": "piece", "sheets": "piece", "print": "piece", "set": "piece", "pair": "piece",
    "unit": "piece", "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "lm": "m",
    "running metre": "m", "linear metre": "m", "running meter": "m", "linear meter": "m", "m2": "m2", "m²": "m2",
    "sqm": "m2", "sq m": "m2", "qm": "m2", "m^2": "m2", "square metre": "m2", "square metres": "m2",
    "square meter": "m2", "square meters": "m2", "minute": "minute", "minutes": "minute", "min": "minute",
    "mins": "minute", "ml": "ml", "millilitre": "ml", "millilitres": "ml", "milliliter": "ml",
    "hour": "hour", "hours": "hour", "h": "hour", "hr": "hour",
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
    "ink area": "ink_area", "ink": "ink_area", "coverage": "ink_area", "print area x coverage": "ink_area",
    "print size": "print_size", "by print size": "print_size", "size of print": "print_size",
    "outer size": "outer_size", "by outer size": "outer_size", "frame size": "outer_size",
}  # fmt: skip

PRICES = Table(
    name="prices",
    aliases=("price book", "pricebook", "price list", "pricelist", "materials", "price"),
    columns=(
        Column("code", code, ("item", "item code", "id", "key", "no", "nr", "article", "sku")),
        Column("name", text(120), ("title", "what", "description", "item name", "material")),
        Column("unit", choice(_UNITS, example="piece, m, m2, ml, minute or hour"),
               ("sold by", "unit of measure", "uom")),
        Column("price", money(), ("cost", "amount", "net price", "price each", "pack price", "price per pack")),
        Column("per", milli, ("pack", "pack size", "packsize", "for", "units per pack", "contents", "in a pack",
                              "quantity"), False, 1000),
        Column("mass per unit", weight, ("mass", "weight", "weight per unit", "unit weight", "unit mass"), False, 0),
        Column("priced on", day, ("date", "price date", "checked", "as of", "price from", "priced", "seen on"), False),
        Column("sold in packs", flag, ("whole packs", "in packs", "packs only", "only in packs", "whole packs only"),
               False, False),
        Column("on the shelf", shelf, ("shelf", "stock", "in stock", "there already", "at hand", "have"), False, 0),
    ),
)  # fmt: skip

STEPS = Table(
    name="price steps",
    aliases=("price step", "steps by quantity", "quantity prices", "bulk prices"),
    is_required=False,
    columns=(
        Column("item", code, ("item code", "price code", "code", "for item"), carries=True),
        Column("from packs", count(2, 100_000), ("from", "packs", "from how many", "from quantity", "at least")),
        Column("price", money(), ("price each", "price per pack", "pack price", "cost")),
    ),
)

SIZE_PRICES = Table(
    name="size prices",
    aliases=("size price", "size table", "size tables", "prices by size"),
    is_required=False,
    columns=(
        Column("item", code, ("item code", "price code", "code", "for item"), carries=True),
        Column("up to", size, ("size", "up to size", "largest", "format")),
        Column("price", money(), ("price each", "cost", "amount")),
    ),
)

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
        Column("set-up", money(), ("setup", "set up charge", "setup charge", "set up cost", "once"), False, 0),
        Column("least charge", money(), ("minimum charge", "minimum", "at least", "least", "minimum order"), False, 0),
        Column("lead days", count(0, 365), ("lead time", "days", "working days", "takes days", "lead"), False, 0),
        Column("depth", length(allow_zero=True), ("stands out", "thickness", "frame depth"), False, 0),
        Column("drop", length(allow_zero=True), ("hook drop", "wire drop", "drop to hook", "top to hook"), False, 0),
        Column("glazed", flag, ("glass", "glazing", "behind glass", "has glass"), False, False),
    ),
)  # fmt: skip

RECIPES = Table(
    name="recipes",
    aliases=("recipe", "recipe lines", "finish recipes", "bill of materials"),
    columns=(
        Column("finish", code, ("finish code", "for", "for finish"), carries=True),
        Column("item", code, ("price", "item code", "material", "price code", "needs", "ingredient", "part")),
        Column("basis", choice(_BASES, example="piece, print area, outer area, outer perimeter, minute, ink area, "
                                       "print size or outer size"),
               ("per", "measured by", "counted by", "by", "for each")),
        Column("quantity", milli, ("qty", "amount", "how many", "times", "how much", "count"), False, 1000),
        Column("waste", percent, ("waste %", "loss", "offcut", "offcuts", "spoil", "allowance", "waste allowance"),
               False, 0),
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

GIFTS = Table(
    name="gifts",
    aliases=("gifts in kind", "gift in kind", "given", "in kind", "donations in kind"),
    is_required=False,
    columns=(
        Column("giver", text(120), ("from", "who", "given by", "name", "donor")),
        Column("item", code, ("item code", "price code", "what", "gives")),
        Column("quantity", milli, ("qty", "amount", "how many", "how much"), False, 0),
        Column("work", code, ("work code", "for work", "for"), False, ""),
        Column("value", money(), ("worth", "what it is worth", "value in kind"), False, None),
        Column("thanks", text(200), ("thank", "credit", "words of thanks", "how to thank"), False, ""),
    ),
)

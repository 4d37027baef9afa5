"""The tables of the demonstration show, as an artist's own spreadsheets would have them. All of it is invented."""

from datetime import date, timedelta

from campaign.demonstration.catalogue import WORKS

Row = tuple[object, ...]

WALLS: tuple[Row, ...] = (
    ("Wall", "Name", "Width", "Height", "Keep free at the ends", "Rows", "Tallest in a row", "Between rows", "Made of",
     "Notes"),
    ("north", "North wall, window side", "8,20 m", "2,80 m", "20 cm", "", "", "", "brick, plastered",
     "Hooks only where the old nails are."),
    ("east", "East wall, door", "640 cm", "280cm", "20 cm", 2, "66 cm", "10 cm", "plasterboard on studs",
     "Light works only; ask the caretaker before drilling."),
    ("south", "South wall", "24' 6\"", "2,80 m", "20 cm", "", "", "", "brick, plastered", ""),
)  # fmt: skip

BLOCKED: tuple[Row, ...] = (
    ("wall", "what it is", "kind", "from left", "from floor", "width", "height"),
    ("north", "harbour window", "window", "3.50 m", "90 cm", "120 cm", "130 cm"),
    ("north", "radiator under it", "radiator", "355 cm", "12 cm", "110 cm", "60 cm"),
    ("east", "door to the yard", "door", "35 cm", "0", "92 cm", "205 cm"),
    ("south", "light switch", "switch", "7.25 m", "105 cm", "8 cm", "8 cm"),
)

FINISHES: tuple[Row, ...] = (
    ("Finish", "What it is", "Worth (0-100)", "Border (mm)", "Mat (mm)", "Frame (mm)", "Printed at home", "Set-up",
     "Least charge", "Lead days", "Depth (mm)", "Drop to hook (mm)", "Glass"),
    ("bare", "Bare print on board, held by magnets", 22, 10, 0, 0, "yes", 0, 0, 0, 6, 0, "no"),
    ("tray", "Mounted on board in a tray frame", 70, 0, 0, 18, "yes", 0, 0, 1, 32, 40, "no"),
    ("lab", "Lab print on aluminium, no frame", 75, 0, 0, 0, "no", 15.0, 90.0, 3, 15, 60, "no"),
    ("window", "Window mat in a frame with acrylic", 100, 0, 50, 20, "yes", 0, 0, 2, 24, 45, "yes"),
)  # fmt: skip

# What has a yes is sold in whole packs only; price and pack are then of one. Packs are as coarse as they are in a shop:
# with finer ones, or more on the shelf, a tenth to a quarter of the staircase's steps could not be proved best.
PRICES: tuple[Row, ...] = (
    ("Item", "What", "Unit", "Pack", "Price", "Weight", "Priced on", "Whole packs", "On the shelf"),
    ("paper", "Cotton paper 310 g, roll 61 cm x 10 m", "m2", 6.1, 118.0, "310 g", -21, "yes", 0.9),
    ("ink", "Pigment ink, cartridge of 80 ml", "ml", 80, 52.0, "0", -21, "yes", 25),
    ("board", "Grey board 2 mm, 70 x 100 cm, pack of 10", "m2", 7, 33.6, "1250 g", -19, "", ""),
    ("magnets", "Strong magnets, box of 20", "piece", 20, 17.8, "3 g", -19, "", ""),
    ("foam", "Foam board 10 mm, cut to size", "m2", 1, 17.0, "900 g", -19, "", ""),
    ("moulding", "Ash moulding 18 mm, by the metre", "m", 1, 6.4, "180 g", -15, "", ""),
    ("frame", "Ash moulding 20 mm, black stain", "m", 1, 9.8, "240 g", -15, "", ""),
    ("mat", "Window mat, museum board 1.4 mm", "m2", 0.84, 17.5, "1000 g", -15, "", ""),
    ("acrylic", "Acrylic 2 mm, cut to size", "m2", 1, 46.0, "2.38 kg", -15, "", ""),
    ("back", "Backing board 3 mm", "m2", 1, 9.8, "2.25 kg", -15, "", ""),
    ("hardware", "Rings, wire, two hooks: bag for ten works", "piece", 10, 23.5, "50 g", -15, "yes", 4),
    ("aluminium", "Lab print on aluminium 3 mm, by size", "piece", 1, 0, "1.2 kg", -11, "", ""),
)

# From so many packs on, each of them costs less.
PRICE_STEPS: tuple[Row, ...] = (
    ("item", "from packs", "price"),
    ("hardware", 2, "21,00"),
)

SIZE_PRICES: tuple[Row, ...] = (
    ("item", "up to", "price"),
    ("aluminium", "40 x 20 cm", "29,00"),
    ("", "30 x 45 cm", "34,00"),
    ("", "40 x 40 cm", "38,00"),
    ("", "60 x 40 cm", "49,00"),
    ("", "80 x 40 cm", "62,00"),
)

RECIPES: tuple[Row, ...] = (
    ("Finish", "Item", "Per", "Quantity", "Waste"),
    ("bare", "paper", "print area", 1, 0.1),
    ("", "ink", "ink area", 14, 0.1),
    ("", "board", "outer area", 1, 0.15),
    ("", "magnets", "piece", 4, 0),
    ("tray", "paper", "print area", 1, 0.1),
    ("", "ink", "ink area", 14, 0.1),
    ("", "foam", "outer area", 1, 0.1),
    ("", "moulding", "outer perimeter", 1, 0.12),
    ("", "hardware", "piece", 1, 0),
    ("lab", "aluminium", "print size", 1, 0),
    ("", "hardware", "piece", 1, 0),
    ("window", "paper", "print area", 1, 0.1),
    ("", "ink", "ink area", 14, 0.1),
    ("", "mat", "outer area", 1, 0.1),
    ("", "acrylic", "outer area", 1, 0),
    ("", "back", "outer area", 1, 0.05),
    ("", "frame", "outer perimeter", 1, 0.12),
    ("", "hardware", "piece", 1, 0),
)

GIFTS: tuple[Row, ...] = (
    ("giver", "item", "quantity", "work", "value", "thanks"),
    ("Deichsel & Daughter, boatbuilders", "moulding", 12, "", 110.0, "twelve metres of ash, planed on a Sunday"),
    ("The Thursday Choir", "aluminium", "", "w08", "", "the print of “Cutter in the Second Bank”, for the tenors"),
)

# Two great moons side by side would be one too many; the cranes belong to each other.
PAIRS: tuple[Row, ...] = (
    ("kind", "one", "other"),
    ("not side by side", "w20", "w21"),
    ("same wall", "w22", "w23"),
)

WORTHS: tuple[Row, ...] = (
    ("work", "size", "finish", "worth"),
    ("w16", "20 x 30 cm", "window", 90),
)

COSTS: tuple[Row, ...] = (
    ("What", "Amount", "Remarks"),
    ("Cards and posters", 64.0, "250 cards, 12 posters A3"),
    ("Insurance while it hangs", 48.0, "by the month"),
    ("Opening night", 85.0, "bread, cheese, two kinds of juice"),
    ("Wall labels and paste", 18.5, ""),
    ("Van for a day", 55.0, "half of it, shared with the choir"),
)

_SMALL_UNTIL = "a week before the close"
EDITION: tuple[Row, ...] = (
    ("code", "title", "work", "size", "paper", "about", "copies", "price", "limit per person", "make cost",
     "packing cost", "weight", "parcel", "proofs", "orders until"),
    ("low-water", "Low Water, Evening", "w01", "30 x 20 cm", "Cotton paper 310 g",
     "Printed by hand in the studio for this show and never again in this size. Numbered and signed in pencil.",
     80, "42 €", 3, "3,90", "2,10", "240 g", "35 x 25 x 1 cm", 4, ""),
    ("pocket-tide", "Pocket Tide", "w08", "15 x 10 cm", "Cotton paper 310 g",
     "A print the size of a postcard, for a pocket or a window sill. Printed in the first weeks only.",
     24, "14 €", 3, "0,90", "0,80", "40 g", "18 x 13 x 1 cm", 2, _SMALL_UNTIL),
)  # fmt: skip


def edition_rows(today: date) -> tuple[Row, ...]:
    """The prints; the small one can be ordered until a week before the campaign closes."""
    until = f"{today + timedelta(days=11):%d.%m.%Y}"
    return tuple(tuple(until if cell == _SMALL_UNTIL else cell for cell in row) for row in EDITION)


# Steps of the show's own staircase: 450 hang fourteen works, 750 twenty-two, 920 all of them; what comes above goes
# into larger prints and frames, up to 2,261 for all of them behind acrylic.
LEVELS: tuple[Row, ...] = (
    ("level", "money", "promise"),
    ("The room is open", "450 €", "The opening takes place, and the works that matter most hang in tray frames."),
    ("Three walls full", "750 €", "Works hang on all three walls, in two rows beside the door, in tray frames."),
    (
        "The room at its best",
        "1.500,00 €",
        "All of it hangs, half of it or more behind acrylic. What comes on top frames the rest.",
    ),
)

POSTAGE: tuple[Row, ...] = (
    ("zone", "countries", "up to copies", "charge", "cost"),
    ("Germany", "DE", 1, "4,50", "3,95"),
    ("", "", 3, "5,90", "5,25"),
    ("", "", 6, "7,50", "6,60"),
    ("European Union", "EU", 1, "9,50", "8,70"),
    ("", "", 3, "12,00", "10,90"),
    ("", "", 6, "15,00", "13,60"),
    ("Everywhere else", "*", 1, "14,00", "13,10"),
    ("", "", 3, "19,50", "18,20"),
    ("", "", 6, "26,00", "24,10"),
)


# How much ink the works of a series take, of what is usual.
_INK = {"Ebb": 90, "Fog": 60, "Lights": 120, "Tide Table": 110, "Harbour": 100}
# Work → must it hang, on which wall, and how far from its left end is its middle.
_PLACES = {"w01": ("yes", "", ""), "w08": ("", "north", ""), "w24": ("", "south", "1,20 m")}


def works_rows() -> tuple[Row, ...]:
    """The list of works, in the artist's own order of columns."""
    heading = ("No.", "Title", "Year", "Technique", "Print sizes", "Importance", "Series", "Finish", "Picture file",
               "What is seen", "Ink %", "Must hang", "On wall", "Middle from left")  # fmt: skip
    rows = (
        (work.code, work.title, work.year, "Pigment print after a linocut", work.sizes, work.need, work.series,
         work.finishes, f"pictures\\{work.file}", work.alt, _INK[work.series],
         *_PLACES.get(work.code, ("", "", "")))
        for work in WORKS
    )  # fmt: skip
    return (heading, *rows)


def closed_days_rows(today: date) -> tuple[Row, ...]:
    """Two days at the harbour market, in the weeks of printing."""
    return (
        ("day", "why"),
        (f"{today + timedelta(days=30):%d.%m.%Y}", "harbour market"),
        (f"{today + timedelta(days=31):%d.%m.%Y}", "harbour market"),
    )


def deadlines_rows(today: date) -> tuple[Row, ...]:
    """One deadline that is over, one that is not."""
    return (
        ("deadline", "due", "kind", "could bring", "note"),
        ("Musterkreis arts fund", f"{today - timedelta(days=3):%d.%m.%Y}", "grant", "600", "the form has nine pages"),
        ("Tidewater Savings Bank", f"{today + timedelta(days=9):%d.%m.%Y}", "sponsor", "250", "ask for the window"),
    )


STATEMENT = """\
Twice a day the harbour of Grauhaven runs empty and a second town appears: channels, poles, the ribs of a boat that
nobody asked for. I have drawn it for three years, mostly in the wrong shoes.

The prints begin as linocuts, few inks on warm paper. The room above the old net loft is mine for sixteen days. What
hangs there, and how well, is what the orders for one print pay for."""

CAUTIONS = (
    "If fewer prints are ordered than hoped, fewer works hang, or hang more plainly; your print is made all the same.",
    "The print is posted flat between boards; outside the European Union the receiver may have to pay import tax.",
)

# Filled in by `folder.py` with the dates, which depend on the day it is written.
SETTINGS = """\
# Everything about the show that is not a list. Lines that begin with # are notes to myself.

[show]
title = "Low Water"
code = "demo"
artist = "Tilde Wattschnee"
language = "en"
units = "cm"
currency = "EUR"
country = "Germany"
time_zone = "Europe/Berlin"
statement = '''
{statement}
'''
cautions = [
{cautions}
]

[venue]
name = "The Room above the Net Loft"
address = [ "Musterkai 3", "99998 Grauhaven" ]

[dates]
hanging_date = {hanging:%Y-%m-%d}
opening = {opening:%Y-%m-%d} 18:00:00
last_day = {last_day:%Y-%m-%d}

[campaign]
opens = {opens:%Y-%m-%d} 09:00:00
closes = {closes:%Y-%m-%d} 20:00:00
cancel_until = {closes:%Y-%m-%d}
posting_by = "{posting:%d.%m.%Y}"
hold_days = 14
reminder = 4

[room]
minimum_gap = "9 cm"
eye_level = "1,48 m"

[rules]
a_series_in_one_finish = true
finishes_at_most = 3
prices_asked_before = {old_prices:%Y-%m-%d}

[printer]
printer_hours = 26        # thirteen evenings of two hours at most; the whole show and edition take about nine
hours_a_day = 2
square_metres_per_hour = 0.5
proof_days = 1
drying = 24
material_days = 3

[hooks]
two_hooks_from = "40 cm"
two_hooks_from_weight = "4 kg"
hook_rating = "10 kg"

[money]
gallery_commission = "20 %"
tax = "7 %"
contingency = "5%"

[pay]
iban = "DE89 3704 0044 0532 0130 00"
account_holder = "Tilde Wattschnee"
cheques_to = "Tilde Wattschnee"
cash = "At the studio, Thursdays after four, or at the harbour market from the print stall."

[studio]
studio_address = "Tilde Wattschnee; Musterweg 7; 99998 Grauhaven"
email = "tilde@example.org"
"""

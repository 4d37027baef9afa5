"""The tables of the demonstration show, as an artist's own spreadsheets would have them. All of it is invented."""

from campaign.demonstration.catalogue import WORKS

Row = tuple[object, ...]

WALLS: tuple[Row, ...] = (
    ("Wall", "Name", "Width", "Height", "Keep free at the ends", "Made of", "Notes"),
    ("north", "North wall, window side", "8,20 m", "2,80 m", "20 cm", "brick, plastered",
     "Hooks only where the old nails are."),
    ("east", "East wall, door", "640 cm", "280cm", "20 cm", "plasterboard on studs",
     "Light works only; ask the caretaker before drilling."),
    ("south", "South wall", "24' 6\"", "2,80 m", "20 cm", "brick, plastered", ""),
)  # fmt: skip

BLOCKED: tuple[Row, ...] = (
    ("wall", "what it is", "kind", "from left", "from floor", "width", "height"),
    ("north", "harbour window", "window", "3.50 m", "90 cm", "120 cm", "130 cm"),
    ("north", "radiator under it", "radiator", "355 cm", "12 cm", "110 cm", "60 cm"),
    ("east", "door to the yard", "door", "35 cm", "0", "92 cm", "205 cm"),
    ("south", "light switch", "switch", "7.25 m", "105 cm", "8 cm", "8 cm"),
)

FINISHES: tuple[Row, ...] = (
    ("Finish", "What it is", "Worth (0-100)", "Border (mm)", "Mat (mm)", "Frame (mm)", "Printed at home"),
    ("bare", "Bare print on board, held by magnets", 22, 10, 0, 0, "yes"),
    ("tray", "Mounted on board in a tray frame", 70, 0, 0, 18, "yes"),
    ("lab", "Lab print on aluminium, no frame", 75, 0, 0, 0, "no"),
    ("window", "Window mat in a frame with acrylic", 100, 0, 50, 20, "yes"),
)

PRICES: tuple[Row, ...] = (
    ("Item", "What", "Unit", "Pack", "Price", "Weight", "Priced on"),
    ("paper", "Cotton paper 310 g, roll 61 cm x 15 m", "m2", 9.15, 168.0, "310 g", -21),
    ("ink", "Pigment ink, average coverage", "m2", 1, 11.4, "0", -21),
    ("board", "Grey board 2 mm, 70 x 100 cm, pack of 10", "m2", 7, 33.6, "1250 g", -19),
    ("magnets", "Strong magnets, box of 20", "piece", 20, 17.8, "3 g", -19),
    ("foam", "Foam board 10 mm, 70 x 100 cm", "m2", 0.7, 11.9, "900 g", -19),
    ("moulding", "Ash moulding 18 mm, by the metre", "m", 1, 5.8, "180 g", -15),
    ("frame", "Ash moulding 20 mm, black stain", "m", 1, 8.9, "240 g", -15),
    ("mat", "Window mat, museum board 1.4 mm", "m2", 0.84, 17.5, "1000 g", -15),
    ("acrylic", "Acrylic 2 mm, cut to size", "m2", 1, 46.0, "2.38 kg", -15),
    ("back", "Backing board 3 mm", "m2", 1, 9.8, "2.25 kg", -15),
    ("hardware", "Rings, wire, two hooks", "piece", 1, 2.35, "50 g", -15),
    ("aluminium", "Lab print on aluminium 3 mm", "m2", 1, 138.0, "4.1 kg", -11),
    ("lab-fee", "Lab, each order line", "piece", 1, 6.5, "0", -11),
)

RECIPES: tuple[Row, ...] = (
    ("Finish", "Item", "Per", "Quantity", "Waste"),
    ("bare", "paper", "print area", 1, 0.1),
    ("", "ink", "print area", 1, 0.1),
    ("", "board", "outer area", 1, 0.15),
    ("", "magnets", "piece", 4, 0),
    ("tray", "paper", "print area", 1, 0.1),
    ("", "ink", "print area", 1, 0.1),
    ("", "foam", "outer area", 1, 0.1),
    ("", "moulding", "outer perimeter", 1, 0.12),
    ("", "hardware", "piece", 1, 0),
    ("lab", "aluminium", "print area", 1, 0),
    ("", "lab-fee", "piece", 1, 0),
    ("", "hardware", "piece", 1, 0),
    ("window", "paper", "print area", 1, 0.1),
    ("", "ink", "print area", 1, 0.1),
    ("", "mat", "outer area", 1, 0.1),
    ("", "acrylic", "outer area", 1, 0),
    ("", "back", "outer area", 1, 0.05),
    ("", "frame", "outer perimeter", 1, 0.12),
    ("", "hardware", "piece", 1, 0),
)

COSTS: tuple[Row, ...] = (
    ("What", "Amount", "Remarks"),
    ("Cards and posters", 64.0, "250 cards, 12 posters A3"),
    ("Insurance while it hangs", 48.0, "by the month"),
    ("Opening night", 85.0, "bread, cheese, two kinds of juice"),
    ("Wall labels and paste", 18.5, ""),
    ("Van for a day", 55.0, "half of it, shared with the choir"),
)

EDITION: tuple[Row, ...] = (
    ("code", "title", "work", "size", "paper", "about", "copies", "price", "limit per person", "make cost",
     "packing cost", "weight", "parcel"),
    ("low-water", "Low Water, Evening", "w01", "30 x 20 cm", "Cotton paper 310 g",
     "Printed by hand in the studio for this show and never again in this size. Numbered and signed in pencil.",
     80, "42 €", 3, "3,90", "2,10", "240 g", "35 x 25 x 1 cm"),
)  # fmt: skip

# Steps of the show's own staircase: about 450 hang a dozen works, 750 twenty-two, 1,000 all of them; what comes above
# goes into frames.
LEVELS: tuple[Row, ...] = (
    ("level", "money", "promise"),
    ("The room is open", "450 €", "The opening takes place, and the works that matter most hang in tray frames."),
    ("Three walls full", "750 €", "Works hang on all three walls, the large ones at their full size."),
    (
        "The room at its best",
        "1.000,00 €",
        "All of it hangs, the best large. What comes on top turns tray frames into window mats.",
    ),
)

POSTAGE: tuple[Row, ...] = (
    ("zone", "countries", "up to copies", "charge", "cost"),
    ("Germany", "DE", 1, "4,50", "3,95"),
    ("", "", 3, "5,90", "5,25"),
    ("European Union", "EU", 1, "9,50", "8,70"),
    ("", "", 3, "12,00", "10,90"),
    ("Everywhere else", "*", 1, "14,00", "13,10"),
    ("", "", 3, "19,50", "18,20"),
)


def works_rows() -> tuple[Row, ...]:
    """The list of works, in the artist's own order of columns."""
    heading = ("No.", "Title", "Year", "Technique", "Print sizes", "Importance", "Series", "Finish", "Picture file",
               "What is seen")  # fmt: skip
    rows = (
        (work.code, work.title, work.year, "Pigment print after a linocut", work.sizes, work.need, work.series,
         work.finishes, f"pictures\\{work.file}", work.alt)
        for work in WORKS
    )  # fmt: skip
    return (heading, *rows)


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

[printer]
printer_hours = 20        # nine evenings, a little over two hours each
square_metres_per_hour = 0.5

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

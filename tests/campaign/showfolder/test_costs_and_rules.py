"""The tables of costs and rules: read in our units, and every planted mistake named with what would do."""

from datetime import date

import pytest

from campaign.showfolder import Outcome, read_show_folder
from campaign.showfolder.cost_rows import GiftRow, SizePriceRow, StepRow
from campaign.showfolder.rule_rows import ClosedDayRow, DeadlineRow, PairRow, WorthRow
from tests.campaign.showfolder.folders import SETTINGS, TABLES, write_folder

FILES = {
    "walls.csv": (
        "code,name,width,height,rows,row height,row gap,min gap\nnorth,North wall,5 m,280 cm,2,70 cm,8 cm,5 cm\n"
    ),
    "works.csv": (
        "code,title,need,sizes,finishes,picture,must hang,ink coverage %,pinned to,middle at,row,net\n"
        "w01,First,5,60x40cm; 90x60cm = 130%,,w01.png,yes,85,north,2 m,2,250\n"
        "w02,Second,3,60x40cm,pinned,w02.png,,,,,,\n"
    ),
    "prices.csv": (
        "code,name,unit,price,per,mass,sold in packs,on the shelf\n"
        "paper,Paper,m2,20,1,300 g,no,0\npins,Pins,piece,5,100,1 g,yes,40\nash,Ash,m,6,1,200 g,,\n"
        "ink,Ink,ml,60,100,,,12.5\nlab,Lab print,piece,0,1,,,\n"
    ),
    "price steps.csv": "item,from packs,price\npins,3,4.50\n,10,4\n",
    "size prices.csv": "item,up to,price\nlab,30x45 cm,15\n,60x90 cm,40\n",
    "finishes.csv": (
        "code,name,worth,moulding,set-up,least charge,lead days,depth,drop,glazed\n"
        "pinned,Pinned,40,0,,,,,,\ntray,Tray frame,80,2 cm,25,80,5,3 cm,4 cm,no\nlab,Lab,60,0,,,,,,yes\n"
    ),
    "recipes.csv": TABLES["recipes.csv"] + "tray,ink,ink area,12,0\nlab,lab,print size,1,0\n",
    "gifts.csv": "giver,item,quantity,work,worth,thanks\nThe Net Loft,ash,12,,90.00,Twelve metres of ash\n"
    "Aunt Example,lab,,w01,,\n",
    "worths.csv": "work,size,finish,worth\nw01,90x60 cm,tray,777\n",
    "pairs.csv": "kind,one,other\nnot side by side,w01,w02\n",
    "closed days.csv": "day,note\n2026-05-01,fair\n",
    "deadlines.csv": "name,date,kind,money,note,done\nCounty arts fund,2026-04-01,grant,500,,no\n",
}
MORE = """\
series_share_finish = "no"
most_finishes = 3
old_prices_before = 2026-01-31
hook_rating = "10 kg"
print_hours_a_day = 2.5
proof_days = 2
payout_days = 7
payment_fee = "2.9 %"
fixed_fee = 0.3
round_wall_prices_to = 5
"""


def _write(path, *, settings=SETTINGS, **changes):
    files = {name.replace(".", "__"): text for name, text in FILES.items()}
    return write_folder(path, settings=settings, **(files | changes))


def test_everything_is_read_in_our_units(tmp_path):
    folder = read_show_folder(_write(tmp_path, settings=SETTINGS + MORE))
    assert [v.line for v in folder.verdicts if v.outcome in (Outcome.REFUSED, Outcome.NOTED)] == []
    settings = folder.settings
    assert (settings.series_share_finish, settings.most_finishes) == (False, 3)
    assert (settings.hook_rating_g, settings.print_hours_milli) == (10_000, 2_500)
    assert (settings.old_prices_before_on, settings.proof_days, settings.payout_days) == (date(2026, 1, 31), 2, 7)
    assert (settings.fee_bp, settings.fee_fixed_minor, settings.sale_rounding_minor) == (290, 30, 500)
    wall = folder.walls[0]
    assert (wall.rows, wall.row_height_mm, wall.row_gap_mm, wall.min_gap_mm) == (2, 700, 80, 50)
    first, second = folder.works
    assert (first.must_hang, first.coverage_percent, first.net_minor) == (True, 85, 25_000)
    assert (first.pinned_wall_code, first.pinned_middle_mm, first.pinned_row) == ("north", 2_000, 1)
    assert (second.must_hang, second.coverage_percent, second.pinned_wall_code) == (False, 100, "")
    pins, ink = folder.price_book[1], folder.price_book[3]
    assert (pins.is_sold_in_packs, pins.shelf_milli, ink.unit, ink.shelf_milli) == (True, 40_000, "ml", 12_500)
    tray = folder.finishes[1]
    assert (tray.setup_minor, tray.least_minor, tray.lead_days) == (2_500, 8_000, 5)
    assert (tray.depth_mm, tray.drop_mm, tray.is_glazed) == (30, 40, False)
    assert folder.price_steps == (StepRow("pins", 3, 450), StepRow("pins", 10, 400))
    assert folder.size_prices == (SizePriceRow("lab", 300, 450, 1_500), SizePriceRow("lab", 600, 900, 4_000))
    assert folder.gifts == (
        GiftRow("The Net Loft", "ash", 12_000, "", 9_000, "Twelve metres of ash"),
        GiftRow("Aunt Example", "lab", 0, "w01", None, ""),
    )
    assert folder.worths == (WorthRow("w01", 900, 600, "tray", 777),)
    assert folder.pairs == (PairRow("apart", "w01", "w02"),)
    assert folder.closed_days == (ClosedDayRow(date(2026, 5, 1), "fair"),)
    assert folder.deadlines == (DeadlineRow("County arts fund", date(2026, 4, 1), "grant", 50_000, "", False),)


def test_old_folder_says_nothing_of_what_it_does_not_know(tmp_path):
    folder = read_show_folder(write_folder(tmp_path))
    assert folder.ok
    spoken = (folder.price_steps, folder.size_prices, folder.gifts, folder.worths, folder.pairs, folder.closed_days)
    assert (*spoken, folder.deadlines) == (None,) * 7
    assert (folder.walls[0].rows, folder.walls[0].min_gap_mm) == (1, None)
    assert (folder.price_book[0].is_sold_in_packs, folder.price_book[0].shelf_milli) == (False, 0)
    assert (folder.settings.series_share_finish, folder.settings.hook_margin) == (True, 4)


# file, what to replace, by what, row, column, found, words of the sentence
PLANTED = [
    ("walls.csv", "280 cm,2,", "280 cm,3,", 2, "rows", "3", "a whole number from 1 to 2"),
    ("walls.csv", "280 cm,2,70 cm", "280 cm,2,", 2, "row height", "", "height of the tallest work in a row"),
    ("works.csv", "yes,85", "perhaps,85", 2, "must hang", "perhaps", "yes or no"),
    ("works.csv", "yes,85", "yes,850", 2, "ink coverage %", "850", "a percentage from 0 to 400"),
    ("works.csv", "85,north", "85,nort", 2, "pinned to", "nort", "did you mean “north”?"),
    ("works.csv", "north,2 m", ",2 m", 2, "middle at", "2 m", "A place needs its wall"),
    ("works.csv", "north,2 m", "north,7 m", 2, "middle at", "7 m", "The wall is 500 cm wide"),
    ("prices.csv", "yes,40", "maybe,40", 3, "sold in packs", "maybe", "yes or no"),
    ("prices.csv", "yes,40", "yes,-40", 3, "on the shelf", "-40", "a number, 0 or more"),
    ("price steps.csv", "pins,3", "pins,1", 2, "from packs", "1", "from 2 to 100,000"),
    ("price steps.csv", "pins,3", "ash,3", 2, "item", "ash", "“ash” is not sold in packs"),
    ("price steps.csv", "pins,3", "pns,3", 2, "item", "pns", "did you mean “pins”?"),
    ("price steps.csv", ",10,4", ",3,4", 3, "from packs", "3", "Row 2 has this step already"),
    ("size prices.csv", "30x45 cm,15", "30 cm,15", 2, "up to", "30 cm", "width and height such as"),
    ("size prices.csv", "60x90 cm", "30x45 cm", 3, "up to", "30x45 cm", "Row 2 has this size already"),
    ("finishes.csv", "25,80,5", "25,80,soon", 3, "lead days", "soon", "a whole number"),
    ("finishes.csv", "25,80,5", "-25,80,5", 3, "set-up", "-25", "less than nothing"),
    ("recipes.csv", "lab,lab,print size", "lab,ash,print size", 7, "basis", "print size", "sold by the metre"),
    ("recipes.csv", "tray,ink,ink area", "tray,pins,print size", 6, "basis", "print size", "“pins” has no size table"),
    ("recipes.csv", "tray,ink,ink area", "tray,pins,ink area", 6, "basis", "ink area", "a price by the millilitre"),
    ("gifts.csv", "ash,12,,", "ash,,,", 2, "quantity", "", "Write how much is given, or the work"),
    ("gifts.csv", "ash,12,,", "ash,12,w01,", 2, "quantity", "12", "A gift for one work gives all that it takes"),
    ("gifts.csv", "ash,12", "oak,12", 2, "item", "oak", "has no code “oak”"),
    ("worths.csv", "90x60", "95x60", 2, "size", "95x60 cm", "its sizes are 60 × 40 cm; 90 × 60 cm"),
    ("worths.csv", "w01,90x60 cm,tray", "w02,60x40 cm,tray", 2, "finish", "tray", "its finishes are pinned"),
    ("pairs.csv", "side,w01", "sides,w01", 2, "kind", "not sides by side", "Write apart or together"),
    ("pairs.csv", "w01,w02", "w02,w02", 2, "other", "w02", "A pair is of two works"),
    ("closed days.csv", "2026-05-01", "32 May", 2, "day", "32 May", "a date such as"),
    ("deadlines.csv", ",grant,", ",lottery,", 2, "kind", "lottery", "Write grant, sponsor or other."),
]  # fmt: skip


@pytest.mark.parametrize(("file", "was", "becomes", "row", "column", "found", "words"), PLANTED)
def test_planted_mistake_is_named_by_file_row_column_and_what_would_do(
    tmp_path, file, was, becomes, row, column, found, words
):
    text = FILES[file].replace("side by side", "sides by side") if "sides" in becomes else FILES[file]
    text = text if "sides" in becomes else text.replace(was, becomes, 1)
    assert text != FILES[file]
    folder = read_show_folder(_write(tmp_path, **{file.replace(".", "__"): text}))
    assert not folder.ok
    named = [verdict for verdict in folder.refusals if (verdict.file, verdict.row) == (file, row)]
    assert [(verdict.column, verdict.found) for verdict in named] == [(column, found)], [
        v.line for v in folder.refusals
    ]
    assert words in named[0].sentence
    assert named[0].sentence.endswith((".", "?"))


@pytest.mark.parametrize(
    ("line", "key", "words"),
    [
        ('print_hours_a_day = "25 h"', "print_hours_a_day", "the 24 of a day"),
        ('print_hours_a_day = "0.01 h"', "print_hours_a_day", "from 0.25"),
        ("most_finishes = 0", "most_finishes", "from 1 to 99"),
        ('series_share_finish = "some"', "series_share_finish", "yes or no"),
        ('payment_fee = "100 %"', "payment_fee", "A share of 100 % leaves nothing"),
        ("round_wall_prices_to = 0", "round_wall_prices_to", "more than nothing"),
        ('old_prices_before = "lately"', "old_prices_before", "a date such as"),
    ],
)
def test_planted_mistake_in_the_settings_names_its_line(tmp_path, line, key, words):
    folder = read_show_folder(_write(tmp_path, settings=f"{SETTINGS}{line}\n"))
    assert [verdict.column for verdict in folder.refusals] == [key]
    assert words in folder.refusals[0].sentence


def test_step_that_makes_a_pack_dearer_is_noted(tmp_path):
    folder = read_show_folder(_write(tmp_path, **{"price steps__csv": "item,from packs,price\npins,3,6\n"}))
    assert folder.ok
    assert [v.column for v in folder.verdicts if v.outcome is Outcome.NOTED] == ["price"]


def test_work_taller_than_a_row_of_two_is_noted(tmp_path):
    walls = FILES["walls.csv"].replace("70 cm", "50 cm")
    folder = read_show_folder(_write(tmp_path, walls__csv=walls))
    noted = [verdict.sentence for verdict in folder.verdicts if verdict.outcome is Outcome.NOTED]
    assert noted[0].startswith("No wall takes 90 × 60 cm")


def test_second_pair_of_the_same_two_is_refused(tmp_path):
    pairs = FILES["pairs.csv"] + "apart,w02,w01\n"
    folder = read_show_folder(_write(tmp_path, pairs__csv=pairs))
    assert [verdict.row for verdict in folder.refusals] == [3]

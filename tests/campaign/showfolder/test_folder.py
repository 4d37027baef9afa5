from datetime import UTC, date, datetime

import pytest

from campaign.showfolder import Outcome, read_show_folder
from campaign.showfolder.rows import BlockedRow, PostageRow, SizeRow
from tests.campaign.showfolder.folders import SETTINGS, TABLES, picture, rows_of, workbook, write_folder


def _refusals(folder):
    return [verdict for verdict in folder.verdicts if verdict.outcome is Outcome.REFUSED]


def test_a_sound_folder_is_read_whole_in_our_units(tmp_path):
    folder = read_show_folder(write_folder(tmp_path))
    assert [verdict.line for verdict in _refusals(folder)] == []
    assert folder.ok
    assert folder.settings.code == "small-show"
    assert folder.settings.opening_at == datetime(2026, 5, 15, 16, 0, tzinfo=UTC)
    assert folder.settings.hang_on == date(2026, 5, 13)
    assert folder.settings.printer_seconds == 36_000
    assert folder.settings.printer_seconds_per_m2 == 1_800
    assert folder.settings.iban == "DE89370400440532013000"
    assert folder.settings.studio_address == "Musterweg 1\n12345 Musterstadt"
    assert [(wall.width_mm, wall.height_mm, wall.centre_mm) for wall in folder.walls] == [(5000, 2800, 1450)]
    assert folder.blocked_areas == (BlockedRow("north", "door", "door", 100, 0, 900, 2000),)
    assert folder.sizes == (
        SizeRow("w01", "600x400", 600, 400, 100),
        SizeRow("w01", "900x600", 900, 600, 130),
        SizeRow("w02", "600x400", 600, 400, 100),
    )
    assert [work.finish_codes for work in folder.works] == [("pinned", "tray"), ("pinned",)]
    assert [(item.code, item.price_minor, item.per_milli) for item in folder.price_book] == [
        ("paper", 2000, 1000),
        ("pins", 500, 100_000),
        ("ash", 600, 1000),
    ]
    assert folder.recipe_lines[3].basis == "outer_perimeter"
    assert folder.recipe_lines[3].waste_bp == 1000
    assert [cost.amount_minor for cost in folder.show_costs] == [6400, 9000]
    assert (
        folder.editions[0].parcel_width_mm,
        folder.editions[0].parcel_height_mm,
        folder.editions[0].parcel_depth_mm,
    ) == (
        350,
        250,
        10,
    )
    assert folder.editions[0].limit_per_person == 2
    assert [level.money_minor for level in folder.levels] == [40_000, 80_000]


def test_every_row_has_a_verdict_that_says_what_was_read(tmp_path):
    folder = read_show_folder(write_folder(tmp_path))
    for name, text in TABLES.items():
        rows = {verdict.row for verdict in folder.verdicts if verdict.file == name}
        assert rows == set(range(2, text.count("\n") + 1)), name
    north = next(verdict for verdict in folder.verdicts if verdict.file == "walls.csv")
    assert north.line == (
        "walls.csv, row 2: ok: code north; name North wall; width 500 cm; height 280 cm; centre 145 cm; rows 1"
    )


def test_the_eu_means_the_members_that_no_zone_names(tmp_path):
    folder = read_show_folder(write_folder(tmp_path))
    home, eu, rest = folder.postage
    assert home == PostageRow("Home", ("DE",), 2, 500, 400)
    assert len(eu.countries) == 26
    assert "DE" not in eu.countries
    assert rest.countries == ("*",)


def test_tables_may_be_sheets_of_one_workbook(tmp_path):
    sheets = {name.removesuffix(".csv"): rows_of(text.replace("; ", "|")) for name, text in TABLES.items()}
    without = {name.replace(".", "__"): None for name in TABLES}
    write_folder(tmp_path, **without, show__xlsx=workbook(sheets))
    folder = read_show_folder(tmp_path)
    assert [verdict.line for verdict in _refusals(folder)] == []
    (tmp_path / "other").mkdir()
    as_text = read_show_folder(write_folder(tmp_path / "other"))
    assert (folder.walls, folder.sizes, folder.price_book, folder.recipe_lines, folder.postage) == (
        as_text.walls,
        as_text.sizes,
        as_text.price_book,
        as_text.recipe_lines,
        as_text.postage,
    )


def test_settings_may_be_a_sheet_of_two_columns(tmp_path):
    lines = (line.partition(" = ") for line in SETTINGS.strip().split("\n"))
    sheet = "Setting;Value\n" + "".join(
        f"{key};{value.strip(chr(34))}\n".replace("weg 1; ", "weg 1 | ") for key, _, value in lines
    )
    write_folder(tmp_path, show__toml=None, settings__csv=sheet)
    folder = read_show_folder(tmp_path)
    assert [verdict.line for verdict in _refusals(folder)] == []
    (tmp_path / "other").mkdir()
    assert folder.settings == read_show_folder(write_folder(tmp_path / "other")).settings


def test_reading_twice_gives_the_same(tmp_path):
    write_folder(tmp_path)
    assert read_show_folder(tmp_path) == read_show_folder(tmp_path)


def test_a_picture_is_found_by_code_by_case_and_in_a_folder_inside(tmp_path):
    works = TABLES["works.csv"].replace("w01.png", "").replace("w02.png", "Pictures\\\\W02.PNG".replace("\\\\", "\\"))
    write_folder(tmp_path, works__csv=works, w02__png=None)
    (tmp_path / "Pictures").mkdir()
    (tmp_path / "Pictures" / "w02.png").write_bytes(picture())
    folder = read_show_folder(tmp_path)
    assert folder.ok
    assert [work.picture.name for work in folder.works] == ["w01.png", "w02.png"]


# file, what to replace, by what, row, column, found, words of the sentence
PLANTED = [
    ("walls.csv", "5 m", "fife m", 2, "width", "fife m", "a length such as 600, 60 cm"),
    ("walls.csv", "5 m", "-5 m", 2, "width", "-5 m", "less than nothing"),
    ("walls.csv", "5 m", "", 2, "width", "", "The cell is empty; write the width"),
    ("walls.csv", "280 cm", "1 m", 2, "height", "1 m", "centre line is not on this wall"),
    ("walls.csv", "north,North", "north wall!,North", 2, "code", "north wall!", "A code is a short name"),
    ("blocked.csv", "north,door", "nroth,door", 2, "wall", "nroth", "did you mean “north”?"),
    ("blocked.csv", "10 cm", "460 cm", 2, "from left", "460 cm", "ends 50 cm beyond the wall’s width of 500 cm"),
    ("blocked.csv", "door,door", "door,dragon", 2, "kind", "dragon", "Write door, window, switch"),
    ("works.csv", "First,5", "First,6", 2, "need", "6", "from 1 to 5"),
    ("works.csv", "60x40cm; 90x60cm = 130%", "60cm", 2, "sizes", "60cm", "width and height such as"),
    ("works.csv", "60x40cm; 90x60cm = 130%", "60x40cm; 60x40cm", 2, "sizes", "60x40cm; 60x40cm", "stands there twice"),
    ("works.csv", "60x40cm; 90x60cm = 130%", "6x4 m", 2, "sizes", "6x4 m", "No wall is wide and high enough"),
    ("works.csv", ",pinned,w02", ",pined,w02", 3, "finishes", "pined", "has no code “pined”; did you mean “pinned”?"),
    ("works.csv", "w02.png", "w2.png", 3, "picture", "w2.png", "did you mean “w02.png”?"),
    ("works.csv", "w02.png", "../../etc/passwd", 3, "picture", "../../etc/passwd", "no picture of this name"),
    ("works.csv", "w02,Second", "W01,Second", 3, "code", "W01", "Row 2 has this code already"),
    ("prices.csv", "m2,20", "m2,$20", 2, "price", "$20", "“$” does not stand for EUR"),
    ("prices.csv", "m2,20", "m2,-20", 2, "price", "-20", "less than nothing"),
    ("prices.csv", "m2,20", "stone,20", 2, "unit", "stone", "Write piece, m, m2, ml, minute or hour."),
    ("prices.csv", "5,100,1 g", "5,0,1 g", 3, "per", "0", "a number, more than 0"),
    ("finishes.csv", "Pinned,40", "Pinned,140", 2, "worth", "140", "from 0 to 100"),
    ("recipes.csv", "tray,ash,outer perimeter", "tray,ash,outer area", 5, "basis", "outer area", "sold by the metre"),
    ("recipes.csv", "tray,ash", "tray,oak", 5, "item", "oak", "The table “prices” has no code “oak”"),
    ("recipes.csv", "area,1,10%\npinned", "area,1,110%\npinned", 2, "waste", "110%", "a percentage from 0 to 100"),
    ("costs.csv", "Cards,64", "Cards,#REF!", 2, "amount", "#REF!", "The formula has an error"),
    ("costs.csv", "Cards,64", "Cards,=B3*2", 2, "amount", "=B3*2", "The formula has no stored result"),
    ("edition.csv", "60,40,4", "60,0,4", 2, "price", "0", "more than nothing"),
    ("edition.csv", "First,w01", "First,w09", 2, "work", "w09", "The table “works” has no code “w09”"),
    ("edition.csv", "35x25x1 cm", "35x25 cm", 2, "parcel size", "35x25 cm", "three lengths"),
    ("edition.csv", "60,40,4", "none,40,4", 2, "copies", "none", "a whole number"),
    ("levels.csv", "Two,800", "Two,300", 3, "money", "300", "Levels rise from row to row"),
    ("postage.csv", "Home,DE", "Home,Atlantis", 2, "countries", "Atlantis", "is no country"),
    ("postage.csv", "Rest,*", "Rest,DE", 4, "countries", "DE", "DE is in the zone “Home” already"),
    ("postage.csv", "Home,DE,2", "Home,DE,1", 2, "up to", "1", "A backer may order 2 copies"),
]  # fmt: skip


@pytest.mark.parametrize(("file", "was", "becomes", "row", "column", "found", "words"), PLANTED)
def test_a_planted_mistake_is_named_by_file_row_column_and_what_would_do(
    tmp_path, file, was, becomes, row, column, found, words
):
    assert was in TABLES[file]
    write_folder(tmp_path, **{file.replace(".", "__"): TABLES[file].replace(was, becomes, 1)})
    folder = read_show_folder(tmp_path)
    assert not folder.ok
    named = [verdict for verdict in _refusals(folder) if (verdict.file, verdict.row) == (file, row)]
    assert [(verdict.column, verdict.found) for verdict in named] == [(column, found)], [
        v.line for v in folder.refusals
    ]
    assert words in named[0].sentence
    assert named[0].sentence.endswith((".", "?"))


SETTINGS_PLANTED = [
    ('"EUR"', '"Taler"', "currency", "three-letter currency code"),
    ('"DE"', '"EU"', "country", "the one country you post from"),
    ('"Europe/Berlin"', '"Europe/Berlyn"', "time_zone", "such as Europe/Berlin"),
    ("studio@example.org", "studio at example", "email", "one e-mail address"),
    ("0532 0130 00", "0532 0130 01", "iban", "check"),
    ("opening = 2026-05-15 18:00:00", "opening = 2026-05-15", "opening", "the day and the time"),
    ("hanging_date = 2026-05-13", 'hanging_date = "13/06/05"', "hanging_date", "a date such as"),
    ("hanging_date = 2026-05-13", "hanging_date = 2026-04-01", "hanging_date", "after the campaign closes"),
    ("last_day = 2026-05-31", "last_day = 2026-05-14", "last_day", "cannot end before its opening"),
    ("posting_by = 2026-05-10", "posting_by = 2026-04-10", "posting_by", "after the campaign closes"),
    ("closes = 2026-04-10 20:00:00", "closes = 2026-02-10 20:00:00", "campaign_closes", "after it opens"),
    ("campaign_opens = 2026-03-01 09:00:00", "campaign_opens = 2026-03-29 02:30:00", "campaign_opens", "clocks skip"),
    ("printer_speed = 2", "printer_speed = 0", "printer_speed", "square metres"),
    ('account_holder = "Nobody Real"', 'account_holder = ""', "account_holder", "name of its holder"),
    ("printer_hours = 10", "printer_hours = 10\nhold_days = 2\nreminder_days = 2", "reminder_days", "fewer days"),
]  # fmt: skip


@pytest.mark.parametrize(("was", "becomes", "key", "words"), SETTINGS_PLANTED)
def test_a_planted_mistake_in_the_settings_names_its_line(tmp_path, was, becomes, key, words):
    assert was in SETTINGS
    settings = SETTINGS.replace(was, becomes)
    folder = read_show_folder(write_folder(tmp_path, settings=settings))
    named = [verdict for verdict in folder.refusals if verdict.column == key]
    assert named, [verdict.line for verdict in folder.refusals]
    assert words in named[0].sentence
    lines = settings.split("\n")
    assert lines[named[0].row - 1].startswith(key)


def test_a_missing_setting_is_named(tmp_path):
    settings = SETTINGS.replace('title = "Small Show"\n', "")
    folder = read_show_folder(write_folder(tmp_path, settings=settings))
    assert [verdict.line for verdict in folder.refusals] == [
        "show.toml, column title: refused: The cell is empty; write the title."
    ]


def test_no_way_to_pay_is_refused(tmp_path):
    settings = "\n".join(line for line in SETTINGS.split("\n") if not line.startswith(("iban", "account")))
    folder = read_show_folder(write_folder(tmp_path, settings=settings))
    assert ["There is no way to pay" in verdict.sentence for verdict in folder.refusals] == [True]


@pytest.mark.parametrize("name", ["walls", "works", "prices", "finishes", "recipes", "edition", "postage"])
def test_a_missing_table_is_named_once(tmp_path, name):
    folder = read_show_folder(write_folder(tmp_path, **{f"{name}__csv": None}))
    missing = [verdict for verdict in folder.refusals if f"The table “{name}” is missing" in verdict.sentence]
    assert len(missing) == 1
    assert missing[0].sentence.endswith(f"add {name}.csv or {name}.xlsx.")


@pytest.mark.parametrize("name", ["blocked", "costs", "levels"])
def test_a_table_that_a_show_can_do_without_may_be_missing(tmp_path, name):
    assert read_show_folder(write_folder(tmp_path, **{f"{name}__csv": None})).ok


def test_a_finish_without_a_recipe_is_refused(tmp_path):
    recipes = "\n".join(line for line in TABLES["recipes.csv"].split("\n") if not line.startswith("tray"))
    folder = read_show_folder(write_folder(tmp_path, recipes__csv=recipes))
    assert [(verdict.file, verdict.row) for verdict in folder.refusals] == [("finishes.csv", 3)]
    assert "has no recipe" in folder.refusals[0].sentence


def test_one_bad_row_does_not_make_those_that_refer_to_it_look_bad(tmp_path):
    finishes = TABLES["finishes.csv"].replace("pinned,Pinned,40", "pinned,Pinned,lots")
    folder = read_show_folder(write_folder(tmp_path, finishes__csv=finishes))
    assert [(verdict.file, verdict.row, verdict.column) for verdict in folder.refusals] == [
        ("finishes.csv", 2, "worth")
    ]


def test_a_missing_heading_is_named_with_other_spellings(tmp_path):
    walls = TABLES["walls.csv"].replace(",height", ",hight")
    folder = read_show_folder(write_folder(tmp_path, walls__csv=walls))
    lines = [verdict.line for verdict in folder.verdicts if verdict.file == "walls.csv"]
    assert any("refused: There is no column “height”; add one (also understood: h, high" in line for line in lines)
    assert any("column hight: noted:" in line and "did you mean “height”?" in line for line in lines)


def test_an_unknown_column_is_noted_and_left_out(tmp_path):
    costs = "name,amount,paid by\nCards,64,me\n"
    folder = read_show_folder(write_folder(tmp_path, costs__csv=costs))
    assert folder.ok
    noted = [verdict for verdict in folder.verdicts if verdict.outcome is Outcome.NOTED]
    assert [(verdict.file, verdict.row, verdict.column) for verdict in noted] == [("costs.csv", 1, "paid by")]


def test_a_comma_that_shifts_the_cells_is_refused_not_misread(tmp_path):
    costs = "name,amount,note\nCards,64,50,printed at home\n"
    folder = read_show_folder(write_folder(tmp_path, costs__csv=costs))
    assert ["4 cells but there are 3 headings" in verdict.sentence for verdict in folder.refusals] == [True]


def test_empty_rows_comments_totals_and_repeated_headings_are_skipped(tmp_path):
    costs = (
        "My costs,,\n,,\nname,amount,note\n# printing,,\nCards,64,\n,,\n"
        "name,amount,note\nOpening,90,\nTotal,154,\n,,\n,,\n"
    )
    folder = read_show_folder(write_folder(tmp_path, costs__csv=costs))
    assert folder.ok
    assert [cost.name for cost in folder.show_costs] == ["Cards", "Opening"]
    skipped = {verdict.row: verdict.sentence for verdict in folder.verdicts if verdict.outcome is Outcome.SKIPPED}
    assert list(skipped) == [1, 2, 4, 6, 7, 9]
    assert skipped[9] == "The row is a total, not an entry."


def test_a_cell_left_empty_under_its_group_repeats_the_one_above(tmp_path):
    recipes = TABLES["recipes.csv"].replace("pinned,pins", ",pins").replace("tray,ash", ",ash")
    folder = read_show_folder(write_folder(tmp_path, recipes__csv=recipes))
    assert [line.finish_code for line in folder.recipe_lines] == ["pinned", "pinned", "tray", "tray"]


def test_references_find_their_code_in_any_case(tmp_path):
    works = TABLES["works.csv"].replace(",pinned,", ",PINNED,")
    folder = read_show_folder(write_folder(tmp_path, works__csv=works))
    assert folder.works[1].finish_codes == ("pinned",)


def test_the_same_table_twice_is_refused(tmp_path):
    write_folder(tmp_path)
    (tmp_path / "wall.csv").write_text(TABLES["walls.csv"])
    folder = read_show_folder(tmp_path)
    assert ["is the table “walls” already; keep one" in verdict.sentence for verdict in folder.refusals] == [True]


def test_a_file_that_is_no_table_of_ours_is_noted(tmp_path):
    write_folder(tmp_path)
    (tmp_path / "finnishes.csv").write_text("a,b\n")
    (tmp_path / "letter.pdf").write_bytes(b"%PDF")
    (tmp_path / "~$walls.xlsx").write_bytes(b"lock")
    (tmp_path / ".DS_Store").write_bytes(b"junk")
    folder = read_show_folder(tmp_path)
    assert folder.ok
    told = {verdict.file: verdict for verdict in folder.verdicts if verdict.row is None}
    assert sorted(told) == ["finnishes.csv", "letter.pdf"]
    assert "did you mean “finishes”?" in told["finnishes.csv"].sentence


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("walls.xlsx", b"no workbook at all", "This is no workbook"),
        ("walls.xlsx", b"\xd0\xcf\x11\xe0" + bytes(600), "old .xls or a locked workbook"),
        ("walls.xls", b"\xd0\xcf\x11\xe0" + bytes(600), "save it as XLSX"),
        ("walls.csv", b"PK\x03\x04" + bytes(60), "workbook with the name of a text file"),
        ("walls.csv", b"", "The table is empty"),
        ("walls.csv", bytes(range(256)) * 20, "encoding|no text"),
        ("walls.csv", b"hello\nworld\n", "No row has the headings of this table"),
        ("walls.csv", b'code,width,height\nnorth,"5 m,280 cm\n', "quotation mark in row 2 is never closed"),
        ("walls.csv", b"x" * 10_000_001, "10 MB"),
    ],
)
def test_a_file_that_cannot_be_read_is_one_refusal_that_names_it(tmp_path, name, content, words):
    write_folder(tmp_path, walls__csv=None)
    (tmp_path / name).write_bytes(content)
    folder = read_show_folder(tmp_path)
    named = [verdict for verdict in folder.refusals if verdict.file == name]
    assert len(named) == 1
    assert any(word in named[0].sentence for word in words.split("|")), named[0].sentence
    assert named[0].row is None


def test_a_broken_picture_is_refused_at_its_work(tmp_path):
    folder = read_show_folder(write_folder(tmp_path, w02__png=picture()[:60]))
    assert [(verdict.file, verdict.row, verdict.column) for verdict in folder.refusals] == [("works.csv", 3, "picture")]


def test_a_size_on_its_side_is_noted(tmp_path):
    works = TABLES["works.csv"].replace("w02,Second,3,60x40cm", "w02,Second,3,40x60cm")
    folder = read_show_folder(write_folder(tmp_path, works__csv=works))
    assert folder.ok
    noted = [verdict.sentence for verdict in folder.verdicts if verdict.outcome is Outcome.NOTED]
    assert noted == ["Beside its picture (90 × 60 pixels) the size 40 × 60 cm lies on its side; width comes first."]


def test_an_option_no_wall_takes_is_noted(tmp_path):
    works = TABLES["works.csv"].replace("90x60cm = 130%", "480x320cm")
    folder = read_show_folder(write_folder(tmp_path, works__csv=works))
    noted = [verdict.sentence for verdict in folder.verdicts if verdict.outcome is Outcome.NOTED]
    assert folder.ok
    assert len(noted) == 2
    assert all("so it will not be offered" in sentence for sentence in noted)


def test_lengths_without_a_unit_are_refused_unless_heading_or_settings_name_one(tmp_path):
    settings = SETTINGS.replace('units = "cm"\n', "")
    walls = "code,name,width,height\nnorth,North wall,500,280\n"
    folder = read_show_folder(write_folder(tmp_path, settings=settings, walls__csv=walls))
    assert ["The unit is missing; write 500 cm" in verdict.sentence for verdict in folder.refusals[:1]] == [True]
    walls = walls.replace("width,height", "Width (cm),Height in cm")
    folder = read_show_folder(write_folder(tmp_path, settings=settings, walls__csv=walls))
    assert [(wall.width_mm, wall.height_mm) for wall in folder.walls] == [(5000, 2800)]


def test_a_missing_folder_is_one_refusal(tmp_path):
    folder = read_show_folder(tmp_path / "nowhere")
    assert not folder.ok
    assert folder.refusals[0].sentence == "This is no folder that can be read; give the folder of the show."


def test_a_link_out_of_the_folder_is_no_picture(tmp_path):
    inside, outside = tmp_path / "show", tmp_path / "secret.png"
    inside.mkdir()
    outside.write_bytes(picture())
    write_folder(inside, w02__png=None)
    (inside / "w02.png").symlink_to(outside)
    folder = read_show_folder(inside)
    assert [(verdict.row, verdict.column) for verdict in folder.refusals] == [(3, "picture")]

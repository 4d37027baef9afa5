import pytest

from campaign.showfolder.headings import find_headings, nearest, plain_words
from campaign.showfolder.sheets import Line
from campaign.showfolder.tables import COSTS, TABLES, WALLS


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_spelling_is_understood_in_any_case_and_with_a_star(table):
    for column in table.columns:
        others = [each.name for each in table.columns if each.name != column.name]
        for spelling in (column.name, *column.aliases):
            underscored = spelling.replace(" ", "_")
            for written in (spelling, spelling.upper(), f" {spelling.title()}* ", underscored, f"{spelling}:"):
                headings = find_headings([Line(1, (*others, written))], table.columns)
                assert headings.places.get(column.name) == len(others), (column.name, written)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_no_spelling_means_two_columns(table):
    spelled = [
        plain_words(each)
        for column in table.columns
        for each in {plain_words(s) for s in (column.name, *column.aliases)}
    ]
    assert len(spelled) == len(set(spelled))


@pytest.mark.parametrize(
    ("heading", "unit"),
    [
        ("Width (cm)", "cm"),
        ("width_mm", "mm"),
        ("Width in inches", "in"),
        ("WIDTH [in]", "in"),
        ("width, m", "m"),
        ('width "', "in"),
        ("Width", ""),
    ],
)
def test_a_unit_in_the_heading_is_kept(heading, unit):
    headings = find_headings([Line(1, ("code", heading))], WALLS.columns)
    assert headings.units["width"] == unit


@pytest.mark.parametrize(("heading", "unit"), [("Amount (EUR)", "EUR"), ("amount €", "€"), ("Price in eur", "EUR")])
def test_a_currency_in_the_heading_is_kept(heading, unit):
    assert find_headings([Line(1, ("name", heading))], COSTS.columns).units["amount"] == unit


def test_headings_are_found_below_a_title_and_in_any_order():
    lines = [Line(1, ("Walls of the room",)), Line(2, ()), Line(3, ("height", "width", "no."))]
    headings = find_headings(lines, WALLS.columns)
    assert headings.number == 3
    assert headings.places == {"height": 0, "width": 1, "code": 2}


def test_a_heading_that_comes_twice_is_told():
    assert find_headings([Line(1, ("name", "amount", "price"))], COSTS.columns).doubled == ("price",)


def test_near_misses_are_found_and_far_ones_are_not():
    assert nearest("hight", ["width", "height"]) == "height"
    assert nearest("colour", ["width", "height"]) == ""

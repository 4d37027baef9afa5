"""A folder's tables of costs and rules into rows; what has no file stays as the studio has it."""

from datetime import UTC, date, datetime

import pytest

from campaign.errors import NotReady
from campaign.models import GiftInKind, OptionWorth, PriceStep, SizePrice, WorkPair
from campaign.services.shows import import_show
from campaign.showfolder import read_show_folder
from tests.showfolders import SETTINGS, TABLES, write_folder

NOW = datetime(2026, 9, 10, 12, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db
TABLE_TEXTS = {
    "walls": "Wall;Name;Width;Height;Centre;rows;row height;row gap;gap\nA;Long wall;6,20 m;3 m;145 cm;2;90;10;12\n"
             "B;Short wall;310;300;;;;;\n",
    "works": (
        "code,title,need,sizes,finishes,picture,must hang,ink,pinned to,middle at,row,net\n"
        "t1,Ebb,5,60x40; 90x60 (130%),,ebb.png,yes,80,A,300,2,200\n"
        "t2,Flood,4,40x60,plain,flood.png,,,,,,\n"
        "t3,Slack,3,60x40,,slack.png,,,,,,\n"
    ),
    "prices": (
        "code;name;unit;price;per;mass per unit;whole packs;shelf\n"
        "paper;Cotton paper;m2;€ 18,00;1;300 g;;2\n"
        "frame;Oak moulding;m;4,20;3;450 g;yes;\n"
        "glass;Glass;m2;1.050,00 €;25;5 kg;;\n"
        "hour;Making up;hour;24;;;;\n"
    ),
    "price steps": "item;from;price\nframe;4;3,90\n",
    "size prices": "item;up to;price\nglass;60x90;12\n",
    "gifts": "giver;item;quantity;work;value;thanks\nThe Net Loft;frame;12;;80,50;Twelve metres of oak\n"
    "Aunt Example;glass;;t1;;\n",
    "worths": "work;size;finish;worth\nt1;60x40;plain;33\n",
    "pairs": "kind;one;other\napart;t1;t2\ntogether;t2;t3\n",
    "closed days": "day;note\n2026-11-02;fair\n",
    "deadlines": "name;date;kind;money\nArts fund;2026-10-01;grant;500\n",
}  # fmt: skip


def load(path, *, settings=SETTINGS, **tables):
    return import_show(folder=read_show_folder(write_folder(path, settings=settings, **tables)), now=NOW)


def _add(path):
    more = '"most finishes" = 2\n"hook rating" = "10 kg"\n"hours a day" = 3\n'
    return load(path, settings=SETTINGS.replace("[venue]", f"{more}\n[venue]"), **TABLE_TEXTS)


def test_costs_and_rules_become_rows(tmp_path):
    show = _add(tmp_path).show
    assert (show.most_finishes, show.hook_rating_g, show.print_hours_milli) == (2, 10_000, 3_000)
    wall = show.walls.get(code="A")
    assert (wall.rows, wall.row_height_mm, wall.row_gap_mm, wall.min_gap_mm) == (2, 900, 100, 120)
    work = show.works.get(code="t1")
    assert (work.must_hang, work.coverage_percent, work.net_minor) == (True, 80, 20_000)
    assert (work.pinned_wall, work.pinned_middle_mm, work.pinned_row) == (wall, 3_000, 1)
    frame = show.price_items.get(code="frame")
    assert (frame.is_sold_in_packs, frame.per_milli) == (True, 3_000)
    assert frame.steps.get().price_minor == 390
    assert show.price_items.get(code="paper").shelf_milli == 2_000
    assert SizePrice.objects.get().item.code == "glass"
    gifts = show.gifts_in_kind.order_by("giver")
    assert [gift.value_minor for gift in gifts] == [None, 8_050]
    assert [(gift.giver, gift.work and gift.work.code, gift.quantity_milli) for gift in gifts] == [
        ("Aunt Example", "t1", 0), ("The Net Loft", None, 12_000),
    ]  # fmt: skip
    assert OptionWorth.objects.get().worth == 33
    assert set(WorkPair.objects.values_list("kind", "one__code", "other__code")) == {
        ("apart", "t1", "t2"), ("together", "t2", "t3"),
    }  # fmt: skip
    assert show.closed_days.get().day_on == date(2026, 11, 2)
    assert show.deadlines.get().money_minor == 50_000


def test_same_folder_twice_changes_nothing(tmp_path):
    _add(tmp_path)
    assert _add(tmp_path).is_unchanged


def test_folder_without_these_tables_leaves_what_the_studio_has(tmp_path):
    _add(tmp_path / "new")
    load(tmp_path / "old")
    assert PriceStep.objects.count() == SizePrice.objects.count() == OptionWorth.objects.count() == 1
    assert GiftInKind.objects.count() == WorkPair.objects.count() == 2


def test_empty_table_takes_its_rows_away(tmp_path):
    _add(tmp_path)
    tables = TABLE_TEXTS | {"pairs": "kind;one;other\n", "gifts": "giver;item;quantity;work;thanks\n"}
    load(tmp_path, **tables)
    assert not WorkPair.objects.exists()
    assert not GiftInKind.objects.exists()


def test_deadline_keeps_its_calendar_name_when_its_date_moves(tmp_path):
    uid = _add(tmp_path).show.deadlines.get().uid
    deadline = load(tmp_path, **TABLE_TEXTS | {"deadlines": "name;date\nArts fund;2026-10-05\n"}).show.deadlines.get()
    assert (deadline.uid, deadline.on) == (uid, date(2026, 10, 5))


def test_wall_that_goes_takes_its_pins_along(tmp_path):
    _add(tmp_path)
    walls = "Wall;Name;Width;Height;Centre\nB;Short wall;310;300;\n"
    tables = {**TABLE_TEXTS, "walls": walls, "blocked": "wall;name;kind;from left;from floor;width;height\n"}
    tables["works"] = TABLE_TEXTS["works"].replace("80,A,300,2", "80,,,")
    work = load(tmp_path, **tables).show.works.get(code="t1")
    assert (work.pinned_wall, work.pinned_middle_mm) == (None, None)


def _without_frame(text):
    return "\n".join(line for line in text.split("\n") if "frame;" not in line)


def test_given_item_cannot_go_unless_the_folder_ends_the_gift(tmp_path):
    _add(tmp_path / "one")
    prices, recipes = _without_frame(TABLE_TEXTS["prices"]), _without_frame(TABLES["recipes"])
    with pytest.raises(NotReady, match="The Net Loft gives it"):
        load(tmp_path / "two", prices=prices, recipes=recipes)
    gifts = {"gifts": _without_frame(TABLE_TEXTS["gifts"])}
    show = load(tmp_path / "three", prices=prices, recipes=recipes, **gifts).show
    assert [gift.giver for gift in show.gifts_in_kind.all()] == ["Aunt Example"]

"""Edits of what a plan is made from: all of an edit or nothing, the staircase stale, the close respected."""

import io

import pytest
from PIL import Image

from campaign.errors import InUse, NotReady, PlanIsFixed
from campaign.models import Picture
from campaign.pictures import read_picture
from campaign.services.campaigns import close_campaign
from campaign.services.finishes import FinishWish, RecipeWish, remove_finish, save_finish
from campaign.services.inputs import free_code
from campaign.services.prices import PriceWish, remove_price, save_price
from campaign.services.show_costs import CostWish, set_show_costs
from campaign.services.show_settings import change_settings
from campaign.services.walls import BlockedWish, WallWish, remove_wall, save_wall
from campaign.services.works import SizeWish, WorkWish, remove_work, save_work
from tests.builders import NOW, make_draft, make_show

WALL = WallWish(name="West", width_mm=3000, height_mm=2500, centre_mm=1450, end_margin_mm=100)
WORK = WorkWish(title="New work", need=4, sizes=(SizeWish(300, 200),))
FINISH = FinishWish(name="Tape", worth=20, lines=(RecipeWish("paper", "print_area", 1000, 500),))
PRICE = PriceWish(name="Tape", unit="m", price_minor=40)


def edits(show):
    """Every edit of a show's inputs, by name."""
    return {
        "wall": lambda: save_wall(show=show, wall=None, wish=WALL),
        "no wall": lambda: remove_wall(show=show, wall=show.walls.get(code="east")),
        "work": lambda: save_work(show=show, work=None, wish=WORK),
        "no work": lambda: remove_work(show=show, work=show.works.get(code="w01")),
        "finish": lambda: save_finish(show=show, finish=None, wish=FINISH),
        "no finish": lambda: remove_finish(show=show, finish=show.finishes.get(code="frame")),
        "price": lambda: save_price(show=show, item=None, wish=PRICE),
        "no price": lambda: remove_price(show=show, item=show.price_items.get(name="Tape")),
        "costs": lambda: set_show_costs(show=show, costs=[CostWish("Ice", 800)]),
    }


@pytest.fixture
def draft(db):
    return make_draft()


def test_every_edit_makes_the_staircase_stale(draft):
    for name, act in edits(draft).items():
        before = type(draft).objects.get(pk=draft.pk).inputs_version
        act()
        assert type(draft).objects.get(pk=draft.pk).inputs_version == before + 1, name


def test_no_edit_is_taken_once_the_campaign_is_closed(db):
    show = make_show()
    save_price(show=show, item=None, wish=PRICE)
    close_campaign(show=show, now=NOW)
    before = [show.walls.count(), show.works.count(), show.finishes.count(), show.price_items.count()]
    for name, act in edits(show).items():
        with pytest.raises(PlanIsFixed) as refusal:
            act()
        assert "10 March 2026" in refusal.value.sentence, name
    assert before == [show.walls.count(), show.works.count(), show.finishes.count(), show.price_items.count()]


def test_a_wall_keeps_its_code_and_gets_the_areas_asked_for(draft):
    wall = save_wall(show=draft, wall=None, wish=WALL)
    again = save_wall(show=draft, wall=None, wish=WALL)
    assert (wall.code, again.code) == ("west", "west-2")
    assert wall.position < again.position
    door = BlockedWish(kind="door", name="", x_mm=0, y_mm=0, width_mm=900, height_mm=2000)
    wish = WallWish(name="Other", width_mm=4000, height_mm=2500, centre_mm=1450, end_margin_mm=0, blocked=(door,))
    for _ in range(2):
        wall = save_wall(show=draft, wall=wall, wish=wish)
    assert (wall.code, wall.width_mm, wall.blocked_areas.get().width_mm) == ("west", 4000, 900)


def test_sizes_that_stay_keep_their_codes(draft):
    work = draft.works.get(code="w01")
    kept = work.sizes.get(code="400x300")
    sizes = (SizeWish(400, 300, 80), SizeWish(500, 500))
    save_work(show=draft, work=work, wish=WorkWish(title="T", need=1, sizes=sizes))
    assert {(s.pk == kept.pk, s.code, s.factor_percent) for s in work.sizes.all()} == {
        (True, "400x300", 80), (False, "500x500", 100),
    }  # fmt: skip


def test_all_finishes_ticked_is_any_finish(draft):
    work = save_work(
        show=draft, work=None, wish=WorkWish(title="T", need=1, sizes=WORK.sizes, finish_codes=("board", "frame"))
    )
    assert not work.finishes.exists()


def test_the_same_file_is_kept_once_and_stays_when_no_new_one_comes(draft):
    file = io.BytesIO()
    Image.new("RGB", (30, 20), "teal").save(file, "PNG")
    picture = read_picture(file.getvalue())
    work = save_work(show=draft, work=None, wish=WORK, picture=picture)
    other = save_work(show=draft, work=None, wish=WORK, picture=picture)
    assert work.picture == other.picture == Picture.objects.get()
    assert save_work(show=draft, work=work, wish=WORK).picture is not None


@pytest.mark.parametrize(
    ("act", "what", "used_by"),
    [
        (lambda s: remove_work(show=s, work=s.works.get(code="w02")), "Harbour light", ("Harbour light",)),
        (lambda s: remove_finish(show=s, finish=s.finishes.get(code="board")), "Pinned on board", ("Mud and sky",)),
        (
            lambda s: remove_price(show=s, item=s.price_items.get(code="acrylic")),
            "Acrylic 2 mm",
            ("Framed behind acrylic",),
        ),
    ],
)
def test_what_is_in_use_is_not_taken_away(draft, act, what, used_by):
    version = draft.inputs_version
    with pytest.raises(InUse) as refusal:
        act(draft)
    assert (refusal.value.what, refusal.value.used_by) == (what, used_by)
    draft.refresh_from_db()
    assert draft.inputs_version == version


def test_a_recipe_is_replaced_as_a_whole(draft):
    finish = draft.finishes.get(code="frame")
    for _ in range(2):
        save_finish(show=draft, finish=finish, wish=FINISH)
    assert [(line.item.code, line.waste_bp) for line in finish.recipe_lines.all()] == [("paper", 500)]
    assert finish.code == "frame"


def test_settings_raise_the_version_only_where_the_plan_depends_on_them(draft):
    version = draft.inputs_version
    assert change_settings(show=draft, values={"title": "Ebb", "contingency_bp": 300}).inputs_version == version
    assert change_settings(show=draft, values={"min_gap_mm": 90}).inputs_version == version + 1
    assert change_settings(show=draft, values={"min_gap_mm": 90}).inputs_version == version + 1


def test_orders_cannot_close_after_hanging_day(draft):
    with pytest.raises(NotReady, match="by hanging day"):
        change_settings(show=draft, values={"hang_on": draft.opens_at.date()})


def test_a_name_without_letters_still_gets_a_code():
    assert free_code("★", taken={"wall"}, otherwise="wall") == "wall-2"
    assert len(free_code("x" * 90, taken=set(), otherwise="wall")) <= 40

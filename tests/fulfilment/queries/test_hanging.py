from campaign.planning import verify_plan
from campaign.queries.plan_request import load_request
from campaign.services.plans import refresh_staircase
from fulfilment.queries.hanging import read_hanging
from tests.builders import NOW, make_draft
from tests.fulfilment.scene import close, order


def test_before_the_close_the_sheet_shows_the_plan_of_the_money_now(show):
    empty = read_hanging(show)
    assert (empty.count, empty.is_fixed) == (0, False)
    for _ in range(3):
        order(show, copies=3)
    sheet = read_hanging(show)
    assert sheet.count > 0
    assert not sheet.is_fixed


def test_after_the_close_the_sheet_shows_the_plan_that_was_fixed(show):
    for _ in range(3):
        order(show, copies=3)
    close(show)
    sheet = read_hanging(show)
    assert sheet.is_fixed
    assert sheet.plan is not None
    assert verify_plan(load_request(show.fixed_plan.run.request), sheet.plan) == ()
    hung = [work for wall in sheet.walls for work in wall.works]
    assert sheet.count == len(hung) == len(show.fixed_plan.plan["works"])


def test_places_on_a_wall_add_up_from_left_to_right(show):
    for _ in range(5):
        order(show, copies=3)
    close(show)
    for wall in read_hanging(show).walls:
        edge_mm = 0
        for work in wall.works:
            assert work.left_mm == edge_mm + work.gap_mm
            assert work.centre_mm == wall.spec.centre_mm
            assert abs(work.foot_mm + work.height_mm / 2 - wall.spec.centre_mm) <= 1
            edge_mm = work.left_mm + work.width_mm
        assert edge_mm <= wall.spec.width_mm
        assert wall.mass_g == sum(work.mass_g for work in wall.works)


def test_a_wall_says_what_it_is_made_of_and_warns_of_its_door(show):
    for _ in range(5):
        order(show, copies=3)
    north = read_hanging(show).walls[0]
    assert north.material == "plasterboard on studs"
    assert north.works
    assert any("Never block" in caution for caution in north.cautions)


def test_without_a_staircase_there_is_nothing_to_hang_yet(db):
    sheet = read_hanging(make_draft())
    assert (sheet.walls, sheet.plan, sheet.is_fresh) == ((), None, False)


def _two_rows(show):
    """The north wall in two rows, everything deep and hung on a slack wire; orders enough to fill it."""
    show.walls.filter(code="north").update(rows=2, row_height_mm=560, row_gap_mm=100)
    show.finishes.update(depth_mm=110, drop_mm=60)
    show.inputs_version += 1
    show.save(update_fields=["inputs_version"])
    refresh_staircase(show=show, now=NOW)
    for _ in range(6):
        order(show, copies=3)
    return read_hanging(show)


def test_hooks_stand_where_the_rules_of_the_show_put_them(show):
    sheet = _two_rows(show)
    hung = [work for wall in sheet.walls for work in wall.works]
    assert "Upper row" in {work.row_name for work in hung}
    for work in hung:
        assert {hook.height_mm for hook in work.hooks} == {work.foot_mm + work.height_mm - 60}
        assert len(work.hooks) == (2 if work.width_mm >= show.two_hooks_from_mm else 1)
        assert all(work.left_mm < hook.x_mm < work.left_mm + work.width_mm for hook in work.hooks)
    assert sheet.hook_count == sum(len(work.hooks) for work in hung)
    assert sheet.mass_g == sum(work.mass_g for work in hung)


def test_table_and_drawing_have_one_order_and_one_place_for_every_work(show):
    for wall in _two_rows(show).walls:
        drawn = wall.drawn.works
        assert [work.number for work in wall.works] == [work.number for work in drawn]
        assert [(work.left_mm, work.foot_mm) for work in wall.works] == [
            (work.place.x_mm, work.place.y_mm) for work in drawn
        ]
        assert [len(work.hooks) for work in wall.works] == [len(work.hooks) for work in drawn]
        assert [work.row_name for work in wall.works] == [work.row_name for work in drawn]


def test_a_deep_frame_on_the_way_of_a_cane_is_named(show):
    said = [caution for wall in _two_rows(show).walls for caution in wall.cautions]
    assert any("11 cm from the wall, more than 10 cm" in caution for caution in said)

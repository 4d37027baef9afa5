from campaign.planning import verify_plan
from campaign.queries.plan_request import load_request
from fulfilment.queries.hanging import read_hanging
from tests.builders import make_draft
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

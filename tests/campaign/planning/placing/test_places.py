"""Whether a choice hangs, and where."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.planning import BlockedArea, Pin, PlanRequest, WallSpec, WorkOptions
from campaign.planning.errors import NotPlaceable
from campaign.planning.placing.places import HangingTest, place_on_walls
from tests.campaign.planning.trying_walls import can_hang
from tests.plain_shows import option, show, wall


@st.composite
def hangings(draw):
    """Up to five works of one option, two walls with rows, doors and gaps of their own, pins, pairs and sets."""
    walls = []
    for index in range(draw(st.integers(1, 2))):
        width = draw(st.sampled_from([700, 1000, 1500, 2100]))
        blocked = ()
        if draw(st.booleans()):
            blocked = (
                BlockedArea("door", draw(st.integers(0, width - 200)), 0, 200, draw(st.sampled_from([900, 2000]))),
            )
        walls.append(
            WallSpec(
                code=f"w{index}",
                name="Wall",
                width_mm=width,
                height_mm=2600,
                centre_mm=1450,
                end_margin_mm=draw(st.sampled_from([0, 50])),
                blocked=blocked,
                rows=draw(st.integers(1, 2)),
                row_height_mm=draw(st.sampled_from([350, 600])),
                row_gap_mm=draw(st.sampled_from([0, 75])),
                min_gap_mm=draw(st.sampled_from([None, 0, 90])),
            )
        )
    works = []
    for index in range(draw(st.integers(1, 5))):
        pin = None
        if draw(st.integers(0, 3)) == 0:
            middle = draw(st.none() | st.integers(100, 1500))
            pin = Pin(draw(st.sampled_from(walls)).code, middle, draw(st.integers(0, 1)) if middle else 0)
        size = draw(st.sampled_from([(200, 300), (300, 300), (411, 350), (600, 500), (333, 601)]))
        one = option(work_code=f"k{index}", width_mm=size[0], height_mm=size[1])
        works.append(
            WorkOptions(f"k{index}", f"Work {index}", (one,), pin=pin, series=draw(st.sampled_from(["", "s"])))
        )
    codes = [work.code for work in works]
    pairs = st.tuples(st.sampled_from(codes), st.sampled_from(codes)).filter(lambda pair: pair[0] != pair[1])
    several = len(codes) > 1
    return PlanRequest(
        works=tuple(works),
        walls=tuple(walls),
        show_cost_minor=0,
        min_gap_mm=draw(st.sampled_from([0, 40])),
        printer_seconds=0,
        apart=tuple(draw(st.lists(pairs, max_size=4))) if several else (),
        together=tuple(draw(st.lists(pairs, max_size=2))) if several else (),
    )


@settings(max_examples=300)
@given(hangings(), st.data())
def test_decision_equals_trying_every_way(request, data):
    test = HangingTest(request)
    for _ in range(3):
        choice = tuple(data.draw(st.sampled_from([0, -1])) for _ in request.works)
        expected = can_hang(request, choice)
        assert test.hangs(choice) is expected
        if expected:
            check_places(request, choice=choice)
        else:
            with pytest.raises(NotPlaceable):
                place_on_walls(request, choice)


def check_places(request, *, choice):
    """Every placement by the definition, from the walls alone."""
    found = place_on_walls(request, choice)
    assert sorted(p.work_code for p in found) == sorted(
        work.code for work, i in zip(request.works, choice, strict=True) if i >= 0
    )
    works = {work.code: work for work in request.works}
    walls = {one.code: one for one in request.walls}
    rows = {}
    for place in found:
        on, pin = walls[place.wall_code], works[place.work_code].pin
        line = on.row_centres_mm[place.row]
        assert 0 <= place.y_mm + place.height_mm - line - (line - place.y_mm) <= 1
        assert place.y_mm >= 0 and place.y_mm + place.height_mm <= on.height_mm
        if pin:
            assert place.wall_code == pin.wall_code
            if pin.middle_x_mm is not None:
                assert (place.x_mm, place.row) == (pin.middle_x_mm - place.width_mm // 2, pin.row)
        gap = on.gap_mm(otherwise_mm=request.min_gap_mm)
        assert place.x_mm >= on.end_margin_mm + gap
        assert place.x_mm + place.width_mm + gap <= on.width_mm - on.end_margin_mm
        for area in on.blocked:
            level = place.y_mm < area.y_mm + area.height_mm and area.y_mm < place.y_mm + place.height_mm
            if level:
                assert place.x_mm + place.width_mm + gap <= area.x_mm or area.x_mm + area.width_mm + gap <= place.x_mm
        rows.setdefault((place.wall_code, place.row), []).append(place)
    for (code, _), row in rows.items():
        row.sort(key=lambda place: place.x_mm)
        gap = walls[code].gap_mm(otherwise_mm=request.min_gap_mm)
        for left, right in itertools.pairwise(row):
            assert left.x_mm + left.width_mm + gap <= right.x_mm
            pair = {left.work_code, right.work_code}
            assert not any(set(group) == pair for group in request.apart)
    for group in request.together:
        assert len({place.wall_code for place in found if place.work_code in group}) <= 1


def _request(sizes, *, walls, series=(), pins=(), min_gap_mm=50, apart=(), together=()):
    pins = dict(pins)
    works = tuple(
        WorkOptions(
            code=f"k{i}",
            title=f"Work {i}",
            options=(option(work_code=f"k{i}", width_mm=width, height_mm=height),),
            series="s" if i in series else "",
            pin=pins.get(i),
        )
        for i, (width, height) in enumerate(sizes)
    )
    return PlanRequest(works, tuple(walls), 0, min_gap_mm, 0, apart=apart, together=together)


def _walls_of(request):
    found = place_on_walls(request, (0,) * len(request.works))
    return {place.work_code: place.wall_code for place in found}, found


def test_series_hangs_side_by_side_on_one_wall():
    request = _request([(400, 400)] * 6, walls=[wall(code=c, width_mm=3000) for c in "ab"], series={0, 3, 5})
    where, _ = _walls_of(request)
    assert len({where[f"k{i}"] for i in (0, 3, 5)}) == 1
    assert list(where.values()).count("a") == 3
    request = _request([(400, 400)] * 6, walls=[wall(width_mm=6000)], series={1, 4})
    line = [place.work_code for place in place_on_walls(request, (0,) * 6)]
    assert line.index("k4") == line.index("k1") + 1


def test_large_works_are_not_squeezed():
    request = _request(
        [(1500, 900), (300, 300), (300, 300)], walls=[wall(code="a", width_mm=2000), wall(code="b", width_mm=3000)]
    )
    where, _ = _walls_of(request)
    assert where == {"k0": "b", "k1": "a", "k2": "a"}


def test_pinned_work_splits_its_stretch_and_gaps_are_even_on_each_side():
    request = _request([(400, 400)] * 3, walls=[wall(width_mm=3000)], pins={1: Pin("north", 2000, 0)})
    found = {place.work_code: place.x_mm for place in place_on_walls(request, (0, 0, 0))}
    assert found["k1"] == 1800
    assert sorted([found["k0"], found["k2"]]) == [334, 1067]


def test_two_rows_hang_around_their_own_lines():
    two = WallSpec("north", "North", 2000, 3000, 1450, 0, rows=2, row_height_mm=500, row_gap_mm=100)
    _, found = _walls_of(_request([(900, 500), (900, 400), (900, 300), (900, 500)], walls=[two]))
    assert [place.row for place in found] == [0, 0, 1, 1]
    assert {place.y_mm + place.height_mm // 2 for place in found} == {1750, 1150}


def test_gap_of_a_wall_takes_the_place_of_the_shows():
    narrow = WallSpec("north", "North", 1200, 3000, 1450, 0, min_gap_mm=10)
    test = HangingTest(_request([(570, 400)] * 2, walls=[narrow], min_gap_mm=200))
    assert test.hangs((0, 0)) is True
    assert HangingTest(_request([(570, 400)] * 2, walls=[wall(width_mm=1200)], min_gap_mm=200)).hangs((0, 0)) is False


def test_foes_hang_with_another_work_between_them():
    request = _request([(400, 400)] * 3, walls=[wall(width_mm=3000)], apart=(("k0", "k1"),))
    assert [place.work_code for place in place_on_walls(request, (0, 0, 0))][1] == "k2"
    test = HangingTest(request)
    assert test.hangs((0, 0, -1)) is False
    assert test.hangs((0, 0, 0)) is True


def test_works_that_belong_together_go_to_the_wall_that_takes_them_all():
    walls = [wall(code="a", width_mm=1000), wall(code="b", width_mm=1500)]
    where, _ = _walls_of(_request([(400, 400)] * 3, walls=walls, together=(("k0", "k1", "k2"),)))
    assert set(where.values()) == {"b"}


def test_pins_on_two_walls_part_what_must_be_together():
    walls = [wall(code=c, width_mm=3000) for c in "ab"]
    request = _request([(400, 400)] * 2, walls=walls, pins={0: Pin("a"), 1: Pin("b")}, together=(("k0", "k1"),))
    test = HangingTest(request)
    assert (test.hangs((0, 0)), test.hangs((0, -1))) == (False, True)


def test_work_pinned_onto_a_door_never_hangs():
    door = BlockedArea("door", 1000, 0, 900, 2000)
    request = _request([(400, 400)], walls=[wall(width_mm=3000, blocked=[door])], pins={0: Pin("north", 1100)})
    assert HangingTest(request).hangs((0,)) is False


def test_same_works_in_another_order_hang_as_well():
    sizes = [(310, 400), (510, 400), (570, 400), (260, 400), (410, 400), (280, 400), (120, 400), (370, 400), (150, 400)]
    walls = [wall(code=c, width_mm=1000) for c in "abc"]
    for order in (sizes, sizes[::-1]):
        request = _request(order, walls=walls, min_gap_mm=0)
        assert HangingTest(request).hangs((0,) * 9) is True
        assert len(place_on_walls(request, (0,) * 9)) == 9


def test_smaller_works_are_known_to_hang_and_larger_ones_not_to():
    options = [option(width_mm=600), option(width_mm=620), option(width_mm=590)]
    request = show(dict.fromkeys("abc", options), walls=[wall(code=c, width_mm=1000) for c in "xy"], min_gap_mm=0)
    test = HangingTest(request)
    assert [test.hangs((i, i, i)) for i in range(3)] == [False] * 3
    assert test.hangs((0, 1, -1)) is True

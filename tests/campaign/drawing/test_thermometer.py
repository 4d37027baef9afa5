"""The thermometer: heights in proportion, labels that never touch."""

import itertools

from hypothesis import given
from hypothesis import strategies as st

from campaign.drawing.thermometer import LABEL_GAP, Mark, draw_thermometer, spread

MONEY = st.integers(min_value=-10_000, max_value=10_000_000)


def drawn(in_hand_minor: int, if_paid_minor: int, *levels: int) -> object:
    marks = [Mark(name=f"level {n}", money_minor=m, is_reached=in_hand_minor >= m) for n, m in enumerate(levels)]
    return draw_thermometer(in_hand_minor=in_hand_minor, if_paid_minor=if_paid_minor, marks=marks, here_name="in hand")


def test_half_of_the_scale_is_half_of_the_height() -> None:
    scale = drawn(50_000, 50_000, 100_000)
    level = scale.marks[0]
    assert abs((scale.height - scale.solid_y) * 2 - (scale.height - level.y)) <= 2


def test_no_money_and_no_levels_still_draw() -> None:
    scale = drawn(0, 0)
    assert scale.solid_height == 0 and scale.pencil_height == 0 and scale.marks == ()


def test_debt_is_drawn_as_nothing() -> None:
    assert drawn(-5_000, 2_000, 10_000).solid_height == 0


def test_open_orders_that_cost_more_than_they_bring_take_nothing_off_the_solid() -> None:
    scale = drawn(5_000, 4_000, 10_000)
    assert scale.pencil_height == 0 and scale.solid_height > 0


def test_long_names_are_shortened() -> None:
    mark = Mark(name="The whole room, framed in oak and lit", money_minor=100, is_reached=False)
    scale = draw_thermometer(in_hand_minor=0, if_paid_minor=0, marks=[mark], here_name="in hand")
    assert scale.marks[0].short_name == "The whole room, frame…"


@given(MONEY, MONEY, st.lists(st.integers(min_value=1, max_value=10_000_000), max_size=8, unique=True))
def test_everything_is_on_the_scale_and_labels_keep_apart(in_hand: int, if_paid: int, levels: list[int]) -> None:
    scale = drawn(in_hand, if_paid, *levels)
    assert 0 <= scale.pencil_y <= scale.solid_y <= scale.height
    assert all(0 <= mark.y <= scale.height for mark in scale.marks)
    assert all(0 <= tick <= scale.height for tick in scale.ticks) and 2 <= len(scale.ticks) <= 14
    label_ys = sorted([scale.here.label_y, *(mark.label_y for mark in scale.marks)])
    assert all(below - above >= LABEL_GAP for above, below in itertools.pairwise(label_ys))


@given(st.lists(st.integers(min_value=0, max_value=500), min_size=1, max_size=12).map(sorted))
def test_labels_with_room_stay_where_they_belong(wanted: list[int]) -> None:
    placed = spread(wanted, gap=20, least=0, most=500)
    assert max(placed) <= 500
    apart = all(b - a >= 20 for a, b in itertools.pairwise(wanted))
    if apart:
        assert placed == wanted

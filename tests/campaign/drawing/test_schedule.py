"""The schedule drawn: every day equally wide, days off hatched, float and lateness where they lie."""

import re
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.drawing.schedule import LEFT, RIGHT, DayMark, draw_schedule
from campaign.measures.workdays import is_workday, public_holidays
from campaign.planning.days.schedule import Progress, ShowDays, plan_days

HOUR = 3600
DAYS = ShowDays(
    today_on=date(2026, 3, 10),
    opens_on=date(2026, 3, 9),
    closes_on=date(2026, 4, 1),
    is_launched=True,
    hang_on=date(2026, 5, 14),
    opening_on=date(2026, 5, 15),
    posting_by_on=date(2026, 5, 20),
    material_days=5,
    proof_days=1,
    printer_seconds=16 * HOUR,
    drying_hours=24,
    framing_days=3,
    days_off=public_holidays("DE", years=(2026,)),
)


def drawn(days=DAYS, deadlines=()):
    drawing = draw_schedule(plan_days(days), deadlines=deadlines)
    return drawing, {item.name: item for item in drawing.items}


def test_bars_are_as_long_as_their_items_take():
    drawing, items = drawn()
    # From Monday 9 March to four days after the opening.
    day = (RIGHT - LEFT) / ((date(2026, 5, 19) - date(2026, 3, 9)).days + 1)
    assert [item.name for item in drawing.items] == [item.name for item in plan_days(DAYS).items]
    assert abs(items["Orders are taken"].width - 24 * day) <= 1
    assert abs(items["Drying"].width - day) <= 1
    assert items["Money cut-off"].width == 0
    assert items["Launch"].is_done


def test_lines_stand_below_each_other_and_labels_stay_inside():
    drawing, _ = drawn()
    ys = [item.y for item in drawing.items]
    assert ys == sorted(set(ys))
    assert all(drawing.top < item.label_y < item.y < drawing.foot <= drawing.height for item in drawing.items)
    assert all(LEFT <= item.label_x < RIGHT for item in drawing.items)


@settings(max_examples=60)
@given(st.integers(0, 30), st.integers(1, 40), st.integers(0, 6))
def test_no_line_runs_through_a_label(days_gone, hours, framing_days):
    today_on = date(2026, 3, 10) + timedelta(days=days_gone)
    drawing, _ = drawn(replace(DAYS, today_on=today_on, printer_seconds=hours * HOUR, framing_days=framing_days))
    found = re.findall(r"M(\d+) (\d+)V(\d+)H\d+", drawing.path)
    lines = [tuple(int(part) for part in parts) for parts in found]
    assert len(lines) == sum(item.is_critical for item in drawing.items) - 1
    if drawing.today_x is not None:
        lines.append((drawing.today_x, drawing.top, drawing.foot))
    for item in drawing.items:
        assert item.label_left_x >= LEFT
        assert item.label_left_x + item.label_width <= RIGHT
        crossed = [x for x, y, end_y in lines if y < item.label_y and end_y > item.label_y - 10]
        assert item.label_left_x <= item.x + item.label_width
        assert item.label_left_x + item.label_width >= item.x - 20, item
        through = [x for x in crossed if item.label_left_x < x < item.label_left_x + item.label_width]
        assert item.label_covers or not through, item


def test_a_label_stands_beside_the_line_that_would_run_through_it():
    _, items = drawn()
    cut_off, ends = items["Order cut-off"], items["Proof"].x + items["Proof"].width
    assert cut_off.x < ends < cut_off.label_left_x
    assert not any(item.label_covers for item in items.values())


def test_float_reaches_from_the_bar_to_the_limit():
    _, items = drawn()
    printing = items["Printing"]
    assert printing.spare_x == printing.x + printing.width
    assert printing.spare_end_x == printing.limit_x > printing.spare_x
    assert printing.note.endswith("working days to spare")
    assert printing.is_critical
    assert not items["Order cut-off"].is_critical


def test_lateness_reaches_from_the_limit_to_the_end_of_the_bar():
    _, items = drawn(replace(DAYS, printer_seconds=99 * HOUR))
    printing = items["Printing"]
    assert printing.is_late
    assert printing.limit_x == printing.spare_x < printing.spare_end_x == printing.x + printing.width
    assert printing.note.endswith("working days late")


def test_a_limit_beyond_the_drawing_has_no_mark():
    _, items = drawn(replace(DAYS, posting_by_on=date(2026, 9, 1)))
    posting = items["Prints packed and posted"]
    assert posting.limit_x is None
    assert posting.spare_end_x == RIGHT


def test_what_is_done_has_no_float():
    _, items = drawn(replace(DAYS, progress=(Progress("proof", date(2026, 3, 9), date(2026, 3, 9)),)))
    assert (items["Proof"].note, items["Proof"].spare_width, items["Proof"].limit_x) == ("done", 0, None)


def test_today_and_deadlines_are_drawn_while_they_are_near():
    marks = [
        DayMark(date(2026, 3, 12), "City culture fund", False),
        DayMark(date(2026, 3, 8), "Harbour bank", True),
        DayMark(date(2027, 1, 1), "Next year's fund", False),
    ]
    drawing, items = drawn(deadlines=marks)
    assert items["Harbour bank"].note == "already past"
    assert items["City culture fund"].is_deadline
    assert "Next year's fund" not in items
    assert items["Harbour bank"].x < drawing.today_x < items["City culture fund"].x
    assert drawn(replace(DAYS, today_on=date(2026, 9, 1)))[0].today_x is None


def test_what_is_long_over_is_cut_off():
    late = replace(DAYS, today_on=date(2026, 4, 20), closed_on=date(2026, 4, 1))
    drawing, items = drawn(late)
    assert drawing.weeks[0].on == date(2026, 4, 13)
    assert "Orders are taken" not in items


def test_long_names_are_shortened():
    _, items = drawn(deadlines=[DayMark(date(2026, 3, 12), "x" * 90, False)])
    assert max(len(name) for name in items) == 40


@settings(max_examples=40)
@given(st.integers(0, 400), st.integers(5, 300))
def test_days_off_are_hatched_and_no_other(start, length):
    opens_on = date(2026, 1, 1) + timedelta(days=start)
    opening_on = opens_on + timedelta(days=length)
    off = public_holidays("DE", years=(2026, 2027, 2028))
    days = ShowDays(
        today_on=opens_on, opens_on=opens_on, closes_on=opens_on, hang_on=opening_on, opening_on=opening_on,
        days_off=off,
    )  # fmt: skip
    drawing = draw_schedule(plan_days(days))
    first_on, last_on = opens_on - timedelta(days=opens_on.weekday()), opening_on + timedelta(days=4)
    count = (last_on - first_on).days + 1
    for offset in range(count):
        middle = LEFT + (offset + 0.5) * (RIGHT - LEFT) / count
        is_off = any(band.x - 1 <= middle <= band.x + band.width + 1 for band in drawing.off)
        assert is_off or is_workday(first_on + timedelta(days=offset), off)
    drawn_units = sum(band.width for band in drawing.off)
    free = sum(not is_workday(first_on + timedelta(days=offset), off) for offset in range(count))
    assert abs(drawn_units - free * (RIGHT - LEFT) / count) <= len(drawing.off)
    assert all(week.on.weekday() == 0 for week in drawing.weeks)
    assert all(other.x - one.x >= 55 for one, other in pairwise(drawing.weeks))

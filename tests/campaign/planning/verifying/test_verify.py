"""The verifier takes sound plans and finds every planted fault."""

from dataclasses import replace

import pytest

from campaign.planning import BlockedArea, build_staircase, plan_at, verify_plan
from tests.plain_shows import option, show, wall

DOOR = BlockedArea("door", 2000, 0, 900, 2050)
REQUEST = show(
    {
        code: [
            option(work_code=code, size="s", cost_minor=100 + i, worth=10, width_mm=400, seconds=60),
            option(work_code=code, size="l", cost_minor=900 + i, worth=15, width_mm=600, seconds=90),
        ]
        for i, code in enumerate("abcd")
    },
    walls=(wall(width_mm=4000, end_margin_mm=100, blocked=[DOOR]), wall(code="south", width_mm=1500)),
    show_cost_minor=50,
    min_gap_mm=80,
    printer_seconds=240,
)
PLAN = plan_at(REQUEST, build_staircase(REQUEST), 460)


def _moved(plan, *, index=0, **changes):
    """The plan with one placement changed."""
    works = list(plan.works)
    works[index] = replace(works[index], placement=replace(works[index].placement, **changes))
    return replace(plan, works=tuple(works))


def _work(plan, *, index=0, **changes):
    """The plan with one work changed."""
    works = list(plan.works)
    works[index] = replace(works[index], **changes)
    return replace(plan, works=tuple(works))


def _on(code):
    return next(i for i, work in enumerate(PLAN.works) if work.placement.wall_code == code)


def _pair():
    """Two works on one wall."""
    for i, one in enumerate(PLAN.works):
        for j, other in enumerate(PLAN.works[:i]):
            if one.placement.wall_code == other.placement.wall_code:
                return j, i
    raise AssertionError("the plan has two works on one wall")


def test_sound_plan_has_no_fault():
    assert len(PLAN.works) == 4
    assert verify_plan(REQUEST, PLAN) == ()


FAULTS = {
    "a work twice": lambda p: (replace(p, works=(*p.works, p.works[0])), "more than once"),
    "unknown work": lambda p: (_work(p, code="zz"), "not offered"),
    "unknown size": lambda p: (_work(p, size_code="xl"), "not offered"),
    "wrong title": lambda p: (_work(p, title="Other"), "titled"),
    "wrong cost of a work": lambda p: (_work(p, cost_minor=1), "cost_minor"),
    "wrong worth of a work": lambda p: (_work(p, worth=11), "has worth"),
    "wrong mass": lambda p: (_work(p, mass_g=1), "mass_g"),
    "placement of another work": lambda p: (_moved(p, work_code="b"), "carries the placement"),
    "frame of another size": lambda p: (_moved(p, width_mm=390), "frame differs"),
    "unknown wall": lambda p: (_moved(p, wall_code="west"), "not a wall"),
    "over the left end": lambda p: (_moved(p, index=_on("north"), x_mm=100), "closer than 180 mm to an end"),
    "over the right end": lambda p: (_moved(p, index=_on("south"), x_mm=1200), "closer than 80 mm to an end"),
    "off the centre line": lambda p: (_moved(p, y_mm=1300), "not centred"),
    "below the floor": lambda p: (_moved(p, y_mm=-10), "does not fit the height"),
    "through the ceiling": lambda p: (_moved(p, y_mm=2700), "does not fit the height"),
    "over the door": lambda p: (_moved(p, index=_on("north"), x_mm=1800), "not clear of door"),
    "too close to the door": lambda p: (_moved(p, index=_on("north"), x_mm=1521), "not clear of door"),
    "two works on one place": lambda p: (
        _moved(p, index=_pair()[1], x_mm=p.works[_pair()[0]].placement.x_mm),
        "closer than 80 mm",
    ),
    "two works too close": lambda p: (
        _moved(p, index=_pair()[1], x_mm=p.works[_pair()[0]].placement.x_mm + 479),
        "closer than 80 mm",
    ),
    "cost that does not add up": lambda p: (replace(p, cost_minor=p.cost_minor - 50), "its parts cost"),
    "more than the money": lambda p: (replace(p, money_minor=p.cost_minor - 1), "the money is"),
    "worth that does not add up": lambda p: (replace(p, worth=41, bound_worth=41), "its parts are worth"),
    "bound below the worth": lambda p: (replace(p, bound_worth=p.worth - 1, proved=False), "below the worth"),
    "proof without a bound": lambda p: (replace(p, bound_worth=p.worth + 1), "do not agree"),
    "next step below the money": lambda p: (replace(p, next_money_minor=p.money_minor), "not above the money"),
    "next step without works": lambda p: (replace(p, next_money_minor=9_000, next_adds=None), "without works"),
    "works added miscounted": lambda p: (replace(p, next_adds=3), "differs from the works named"),
    "added work hangs already": lambda p: (replace(p, next_adds=1, next_added_codes=("a",)), "hangs already"),
    "changed work does not hang": lambda p: (replace(p, next_changed_codes=("zz",)), "does not hang"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_planted_fault_is_found(name):
    spoiled, words = FAULTS[name](PLAN)
    assert any(words in fault for fault in verify_plan(REQUEST, spoiled))


def test_too_much_printer_time_is_found():
    short = replace(REQUEST, printer_seconds=239)
    assert any("prints for 240 s" in fault for fault in verify_plan(short, PLAN))


def test_show_cost_must_be_in_the_sum():
    dearer = replace(REQUEST, show_cost_minor=51)
    assert any("its parts cost" in fault for fault in verify_plan(dearer, PLAN))


def test_nothing_hung_is_sound_even_in_debt():
    plan = plan_at(REQUEST, build_staircase(REQUEST), -300)
    assert verify_plan(REQUEST, plan) == ()


def test_low_area_that_no_frame_reaches_asks_for_no_gap():
    bench = BlockedArea("bench", 0, 0, 4000, 450)
    request = replace(REQUEST, walls=(wall(width_mm=4000, blocked=[bench]),))
    plan = plan_at(request, build_staircase(request), 460)
    assert plan.works
    assert verify_plan(request, plan) == ()

"""Two plans side by side."""

from dataclasses import replace

from campaign.planning import Placement, Plan, PlannedWork
from campaign.planning.explaining.compare import compare_plans


def work(code, *, size="s", finish="oak", wall="north", mass_g=500):
    return PlannedWork(code, code.upper(), size, finish, 100, 20, mass_g, Placement(code, wall, 0, 0, 400, 300))


def plan(*works, cost=500, worth=50):
    return Plan(cost, cost, worth, True, worth, works, None, None)


def test_what_is_gained_lost_changed_and_moved_is_told_apart():
    before = plan(work("a"), work("b"), work("c"), work("d"), work("e"))
    after = plan(
        work("a", size="l"), work("b", finish="board", wall="east"), work("c", wall="east"), work("e"), work("f"),
        cost=700, worth=90,
    )  # fmt: skip
    found = compare_plans(before, after)
    assert [one.code for one in found.gained] == ["f"]
    assert [one.code for one in found.lost] == ["d"]
    assert [(one.code, one.is_resized, one.is_refinished) for one in found.changed] == [
        ("a", True, False),
        ("b", False, True),
    ]
    assert [one.code for one in found.moved] == ["c"]
    assert (found.before_mass_g, found.after_mass_g) == (2500, 2500)
    assert [(one.finish_code, one.before, one.after) for one in found.finishes] == [("oak", 5, 4), ("board", 0, 1)]
    assert not found.is_same


def test_a_plan_beside_itself_is_the_same():
    one = plan(work("a"), work("b"))
    assert compare_plans(one, one).is_same
    assert compare_plans(one, replace(one, works=(work("a"), work("b", wall="east")))).is_same


def test_the_other_way_round_gained_is_lost():
    one, other = plan(work("a")), plan(work("b"), work("c"))
    there, back = compare_plans(one, other), compare_plans(other, one)
    assert [x.code for x in there.gained] == [x.code for x in back.lost]
    assert [x.code for x in there.lost] == [x.code for x in back.gained]

"""
Source: example 3: textbook solution sheet about three graduates who open an advertising firm; example 4: encyclopaedia
    article "Program evaluation and review technique", its inputs from memory.
Edition: as in the notes on the trade §7, read 2026-11-25.
What is checked: lengths of paths, critical path and slack, from the durations as they are printed.
Tolerance: none: both sheets add up the rounded durations.
"""

from fractions import Fraction

import pytest

from campaign.planning.days.network import Activity, critical_path, run_network

pytestmark = pytest.mark.outside

# Expected durations as printed.
GRADUATES = {
    "A": "6.00", "B": "8.50", "C": "8.17", "D": "12.00", "E": "6.33", "F": "6.00", "G": "3.50",
    "H": "4.17", "I": "6.83",
}  # fmt: skip
PATHS = {"ACE": 20.50, "DFG": 21.50, "BHI": 19.50}
# Expected duration as printed, what goes before.
SEVEN = {
    "a": ("4.00", ()),
    "b": ("5.33", ()),
    "c": ("5.17", ("a",)),
    "d": ("6.33", ("a",)),
    "e": ("5.17", ("b", "c")),
    "f": ("4.50", ("d",)),
    "g": ("5.17", ("e",)),
}


def test_graduates_paths():
    """Solution sheet: A-C-E 20.50, D-F-G 21.50 and critical, B-H-I 19.50."""
    activities = [
        Activity(code, Fraction(GRADUATES[code]), tuple(path[:place][-1:]))
        for path in PATHS
        for place, code in enumerate(path)
    ]
    times = run_network(activities)
    assert {path: float(times[path[-1]].earliest_finish) for path in PATHS} == PATHS
    assert critical_path(activities, times=times, to="G") == ("D", "F", "G")
    assert [code for code in times if times[code].total_float == 0] == ["D", "F", "G"]
    assert float(times["C"].total_float) == 1.0


def test_seven_tasks_take_19_51_along_a_c_e_g():
    """Encyclopaedia: project 19.51, critical a-c-e-g, slack b 3.84, d 4.68, f 4.68, from the rounded durations."""
    activities = [Activity(code, Fraction(expected), after) for code, (expected, after) in SEVEN.items()]
    times = run_network(activities)
    assert times["g"].earliest_finish == Fraction("19.51")
    assert critical_path(activities, times=times, to="g") == ("a", "c", "e", "g")
    slack = {code: one.total_float for code, one in times.items() if one.total_float}
    assert slack == {"b": Fraction("3.84"), "d": Fraction("4.68"), "f": Fraction("4.68")}

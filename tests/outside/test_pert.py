"""
Source: example 3: textbook solution sheet about three graduates who open an advertising firm; example 4: encyclopaedia
    article "Program evaluation and review technique", its inputs from memory.
Edition: as in the notes on the trade §7, read 2026-11-25.
What is checked: expected duration and variance from three estimates; lengths of paths, critical path and slack.
Tolerance: the printed digits: two decimals, three for variances. Example 4 is printed from rounded durations, and
    checked from those; from exact ones the project takes 19.5.
"""

from fractions import Fraction

import pytest

from campaign.planning.days.estimate import estimate_duration
from campaign.planning.days.network import Activity, critical_path, run_network

pytestmark = pytest.mark.outside

# Optimistic, likely, pessimistic; expected and variance as printed (None: not printed).
GRADUATES = {
    "A": ((5, 6, 7), 6.00, 0.111),
    "B": ((8, 8, 11), 8.50, 0.250),
    "C": ((6, 8, 11), 8.17, 0.694),
    "D": ((9, 12, 15), 12.00, 1.000),
    "E": ((5, 6, 9), 6.33, 0.444),
    "F": ((5, 6, 7), 6.00, None),
    "G": ((2, 3, 7), 3.50, 0.694),
    "H": ((4, 4, 5), 4.17, 0.028),
    "I": ((5, 7, 8), 6.83, 0.250),
}
PATHS = {"ACE": 20.50, "DFG": 21.50, "BHI": 19.50}
# Three guesses from memory, expected duration as printed, what goes before.
SEVEN = {
    "a": ((2, 4, 6), "4.00", ()),
    "b": ((3, 5, 9), "5.33", ()),
    "c": ((4, 5, 7), "5.17", ("a",)),
    "d": ((4, 6, 10), "6.33", ("a",)),
    "e": ((4, 5, 7), "5.17", ("b", "c")),
    "f": ((3, 4, 8), "4.50", ("d",)),
    "g": ((3, 5, 8), "5.17", ("e",)),
}


def estimate(guesses):
    optimistic, likely, pessimistic = guesses
    return estimate_duration(optimistic=optimistic, likely=likely, pessimistic=pessimistic)


@pytest.mark.parametrize("code", list(GRADUATES))
def test_graduates_estimates(code):
    """Solution sheet: expected durations to two, variances to three decimals."""
    guesses, expected, variance = GRADUATES[code]
    found = estimate(guesses)
    assert round(float(found.expected), 2) == expected
    assert variance is None or round(float(found.variance), 3) == variance


def test_graduates_paths():
    """Solution sheet: A-C-E 20.50, D-F-G 21.50 and critical, B-H-I 19.50."""
    activities = [
        Activity(code, estimate(GRADUATES[code][0]).expected, tuple(path[:place][-1:]))
        for path in PATHS
        for place, code in enumerate(path)
    ]
    times = run_network(activities)
    assert {path: float(times[path[-1]].earliest_finish) for path in PATHS} == PATHS
    assert critical_path(activities, times=times, to="G") == ("D", "F", "G")
    assert [code for code in times if times[code].total_float == 0] == ["D", "F", "G"]
    assert float(times["C"].total_float) == 1.0


@pytest.mark.parametrize("code", list(SEVEN))
def test_seven_tasks_estimates(code):
    """Encyclopaedia, inputs from memory: 4.00, 5.33, 5.17, 6.33, 5.17, 4.50, 5.17."""
    guesses, expected, _ = SEVEN[code]
    assert f"{float(estimate(guesses).expected):.2f}" == expected


def test_seven_tasks_take_19_51_along_a_c_e_g():
    """Encyclopaedia: project 19.51, critical a-c-e-g, slack b 3.84, d 4.68, f 4.68, from the rounded durations."""
    activities = [Activity(code, Fraction(expected), after) for code, (_, expected, after) in SEVEN.items()]
    times = run_network(activities)
    assert times["g"].earliest_finish == Fraction("19.51")
    assert critical_path(activities, times=times, to="g") == ("a", "c", "e", "g")
    slack = {code: one.total_float for code, one in times.items() if one.total_float}
    assert slack == {"b": Fraction("3.84"), "d": Fraction("4.68"), "f": Fraction("4.68")}


def test_seven_tasks_from_exact_durations_take_19_and_a_half():
    """Computed from the same inputs without rounding in between."""
    activities = [Activity(code, estimate(guesses).expected, after) for code, (guesses, _, after) in SEVEN.items()]
    assert run_network(activities)["g"].earliest_finish == Fraction(39, 2)

"""
Source: example 1: a textbook problem as set on brainmass.com (number 368694), floats computed by the standard critical
    path method; back-plan: computed in the project's notes on the trade (§7).
Edition: as in the notes on the trade §7, read 2026-11-25.
What is checked: the network's earliest and latest times, total and free float and critical path; the schedule's latest
    dates backwards from an opening.
Tolerance: none, whole days.
"""

from datetime import date

import pytest

from campaign.planning.days.network import Activity, critical_path, run_network
from campaign.planning.days.schedule import ShowDays, plan_days

pytestmark = pytest.mark.outside

ACTIVITIES = [
    Activity("A", 7),
    Activity("B", 2, ("A",)),
    Activity("C", 4, ("A",)),
    Activity("D", 4, ("B", "C")),
    Activity("E", 4, ("D",)),
    Activity("F", 3, ("E",)),
    Activity("G", 5, ("E",)),
]
# Earliest start and finish, latest start and finish, total float, free float.
TABLE = {
    "A": (0, 7, 0, 7, 0, 0),
    "B": (7, 9, 9, 11, 2, 2),
    "C": (7, 11, 7, 11, 0, 0),
    "D": (11, 15, 11, 15, 0, 0),
    "E": (15, 19, 15, 19, 0, 0),
    "F": (19, 22, 21, 24, 2, 2),
    "G": (19, 24, 19, 24, 0, 0),
}


@pytest.mark.parametrize("code", list(TABLE))
def test_example_has_its_published_times_and_floats(code):
    """Notes §7, example 1: every figure of the table."""
    times = run_network(ACTIVITIES)[code]
    assert (
        times.earliest_start,
        times.earliest_finish,
        times.latest_start,
        times.latest_finish,
        times.total_float,
        times.free_float,
    ) == TABLE[code]


def test_example_takes_24_days_along_a_c_d_e_g():
    """Notes §7, example 1: project 24 days, critical A-C-D-E-G."""
    times = run_network(list(reversed(ACTIVITIES)))
    assert max(one.earliest_finish for one in times.values()) == 24
    assert critical_path(ACTIVITIES, times=times, to="G") == ("A", "C", "D", "E", "G")
    assert {code for code, one in times.items() if one.total_float == 0} == set("ACDEG")


def test_back_plan_from_an_opening_on_a_friday():
    """Notes §7: opening 15 May 2026; framing 12 to 14, drying 11, printing 7 and 8, proof 6 May."""
    days = ShowDays(
        today_on=date(2026, 3, 1),
        opens_on=date(2026, 3, 1),
        closes_on=date(2026, 3, 31),
        hang_on=date(2026, 5, 15),
        opening_on=date(2026, 5, 15),
        proof_days=1,
        printer_seconds=8 * 3600,
        print_seconds_a_day=4 * 3600,
        drying_hours=24,
        framing_days=3,
    )
    latest = {item.code: (item.latest_first_on, item.latest_last_on) for item in plan_days(days).items}
    assert latest["framing"] == (date(2026, 5, 12), date(2026, 5, 14))
    assert latest["drying"] == (date(2026, 5, 11), date(2026, 5, 11))
    assert latest["printing"] == (date(2026, 5, 7), date(2026, 5, 8))
    assert latest["proof"] == (date(2026, 5, 6), date(2026, 5, 6))

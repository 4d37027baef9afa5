"""Which ways to hang a work are not offered, and in which words."""

from dataclasses import replace

import pytest

from campaign.planning import (
    Basis,
    FinishSpec,
    Option,
    Pin,
    PlanRequest,
    PriceItem,
    RecipeLine,
    SizePrice,
    SizeSpec,
    WallSpec,
    Wording,
    WorkOptions,
    WorkSpec,
    not_offered,
    over_table,
)

WORDING = Wording("EUR", length_unit="cm")
LAB = PriceItem("lab", "Lab print", "piece", 0, table=(SizePrice(600, 900, 4_000),))
FINISH = FinishSpec("f", "F", 50, 0, 0, 0, False, (RecipeLine(LAB, Basis.PRINT_SIZE),))
LOW = WallSpec("low", "Low wall", 2_000, 2_000, 1_450, 0)
LONG = WallSpec("long", "Long wall", 5_000, 2_700, 1_450, 0, min_gap_mm=200)


def _option(**changes):
    fields = {
        "work_code": "a", "size_code": "s", "finish_code": "f", "width_mm": 500, "height_mm": 700,
        "print_width_mm": 500, "print_height_mm": 700, "cost_minor": 0, "cost_lines": (), "mass_g": 0,
        "printer_seconds": 0, "worth": 1,
    }  # fmt: skip
    return Option(**(fields | changes))


def _reasons(option, *, pin=None, **changes):
    request = PlanRequest(
        works=(WorkOptions("a", "A", (option,), pin=pin),), walls=(LOW, LONG), show_cost_minor=0, min_gap_mm=100,
        printer_seconds=3_600, lead_days=8,
    )  # fmt: skip
    return [found.reason for found in not_offered(replace(request, **changes), wording=WORDING)]


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"lead_days": 9}, "it takes 9 working days after printing, and there are 8 before hanging day"),
        ({"printer_seconds": 5_401}, "it takes 1 h 31 min of printing, and 1 h 0 min are left"),
        ({"height_mm": 2_600}, "it is 260 cm high, and no row of any wall takes more than 250 cm"),
        ({"width_mm": 4_601},
         "it is 460.1 cm wide, and the longest stretch of any wall that is high enough has 460 cm between its gaps"),
    ],
)  # fmt: skip
def test_reason_names_what_it_takes_and_what_there_is(changes, reason):
    assert _reasons(_option(**changes)) == [reason]


def test_what_just_fits_is_offered():
    assert _reasons(_option(lead_days=8, printer_seconds=3_600, height_mm=2_500, width_mm=4_600)) == []


def test_pinned_work_is_looked_at_on_its_wall_alone():
    assert _reasons(_option(height_mm=1_200)) == []
    reason = "it is 120 cm high, and no row of its wall takes more than 110 cm"
    assert _reasons(_option(height_mm=1_200), pin=Pin("low")) == [reason]


def test_without_a_wall_nothing_takes_anything():
    assert _reasons(_option(), walls=()) == ["it is 70 cm high, and no row of any wall takes more than 0 cm"]


def test_piece_beyond_the_table_is_named_with_its_size():
    work = WorkSpec("a", "A", 3, (SizeSpec("s", 600, 900), SizeSpec("l", 900, 1_200)), (FINISH,))
    found = over_table(work, wording=WORDING)
    assert [(one.size_code, one.finish_code) for one in found] == [("l", "f")]
    assert found[0].reason == "the size table of “Lab print” has no row for 90 × 120 cm"


def test_what_is_given_needs_no_table():
    work = WorkSpec("a", "A", 3, (SizeSpec("l", 900, 1_200),), (FINISH,), given=(("lab", "The Lab"),))
    assert over_table(work, wording=WORDING) == ()

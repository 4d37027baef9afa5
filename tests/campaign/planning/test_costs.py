"""From price book and recipe to an option: amounts, words, mass, printer time, worth."""

import pytest

from campaign.planning import (
    Basis,
    FinishSpec,
    PriceItem,
    RecipeLine,
    SizeSpec,
    WorkSpec,
    cost_option,
    options_for,
)
from campaign.planning.costs import Extent, cost_line, extent_of, printer_seconds, worth_points
from campaign.planning.errors import InvalidRequest

EXTENT = Extent(print_width_mm=400, print_height_mm=600, width_mm=500, height_mm=700)


def _line(basis, *, unit="piece", price=100, per_milli=1000, quantity=1000, waste=0, mass=0):
    item = PriceItem("code", "Thing", unit, price, per_milli, mass)
    return RecipeLine(item=item, basis=basis, quantity_milli=quantity, waste_bp=waste)


@pytest.mark.parametrize(
    ("line", "amount", "words"),
    [
        (_line(Basis.PIECE, price=250), 250, "1 piece × €2.50"),
        (_line(Basis.PIECE, price=250, quantity=2000), 500, "2 pieces × €2.50"),
        (_line(Basis.OUTER_PERIMETER, unit="m", price=420, waste=1000), 1109, "2.40 m × €4.20 + 10 % waste"),
        (_line(Basis.PRINT_AREA, unit="m2", price=1800), 432, "0.240 m² × €18.00"),
        (_line(Basis.OUTER_AREA, unit="m2", price=1000, quantity=2000), 700, "0.350 m² × 2 × €10.00"),
        (_line(Basis.MINUTE, unit="minute", price=50, quantity=12500), 625, "12.5 min × €0.50"),
        (
            _line(Basis.PIECE, price=1200, per_milli=100_000, quantity=4000),
            48,
            "4 pieces × €12.00 per 100 pieces",
        ),
        (_line(Basis.OUTER_PERIMETER, price=10, quantity=4000), 96, "2.40 m × 4 pieces per m × €0.10"),
    ],
)
def test_line_opens_into_its_arithmetic(line, amount, words):
    found = cost_line(line, extent=EXTENT, currency="EUR")
    assert (found.text, found.amount_minor, found.arithmetic) == ("Thing", amount, words)


@pytest.mark.parametrize(("quantity", "amount"), [(500, 0), (1500, 2), (2500, 2), (3500, 4)])
def test_half_a_cent_goes_to_the_even_one(quantity, amount):
    line = _line(Basis.PIECE, price=1, quantity=quantity)
    assert cost_line(line, extent=EXTENT, currency="EUR").amount_minor == amount


def test_amounts_in_a_currency_without_decimals_are_not_divided():
    line = _line(Basis.PIECE, price=250)
    assert "250" in cost_line(line, extent=EXTENT, currency="JPY").arithmetic


def test_waste_is_paid_but_does_not_hang():
    finish = FinishSpec("f", "F", 50, 0, 0, 0, False, (_line(Basis.PRINT_AREA, unit="m2", waste=5000, mass=1000),))
    work = WorkSpec("a", "A", 3, (SizeSpec("s", 1000, 1000),), (finish,))
    option = options_for(work, currency="EUR", printer_seconds_per_m2=600).options[0]
    assert (option.cost_minor, option.mass_g) == (150, 1000)


def test_outer_size_adds_border_mat_and_moulding_on_both_sides():
    finish = FinishSpec("f", "F", 50, 10, 60, 25, True, ())
    extent = extent_of(SizeSpec("s", 300, 400), finish)
    assert (extent.width_mm, extent.height_mm) == (490, 590)
    assert (extent.print_width_mm, extent.print_height_mm) == (300, 400)


@pytest.mark.parametrize(("at_home", "seconds"), [(True, 101), (False, 0)])
def test_only_prints_made_at_home_take_printer_time(at_home, seconds):
    finish = FinishSpec("f", "F", 50, 0, 0, 0, at_home, ())
    work = WorkSpec("a", "A", 3, (SizeSpec("s", 300, 336),), (finish,))
    option = cost_option(work, size=work.sizes[0], finish=finish, currency="EUR", printer_seconds_per_m2=1000)
    assert option.printer_seconds == seconds


def test_started_printer_second_counts():
    assert printer_seconds(extent=EXTENT, printer_seconds_per_m2=100) == 24
    assert printer_seconds(extent=EXTENT, printer_seconds_per_m2=101) == 25


@pytest.mark.parametrize(
    ("need", "finish_worth", "factor", "points"), [(1, 1, 50, 0), (3, 1, 50, 2), (5, 1, 50, 2), (5, 100, 150, 750)]
)
def test_worth_is_rounded_half_to_even(need, finish_worth, factor, points):
    assert worth_points(need=need, finish_worth=finish_worth, factor_percent=factor) == points


def test_options_run_sizes_first_then_finishes():
    finishes = tuple(FinishSpec(code, code, 50, 0, 0, 0, True, ()) for code in ("bare", "oak"))
    work = WorkSpec("a", "A", 3, (SizeSpec("s", 300, 400), SizeSpec("l", 600, 800)), finishes)
    found = options_for(work, currency="EUR", printer_seconds_per_m2=600)
    assert [(o.size_code, o.finish_code) for o in found.options] == [
        ("s", "bare"),
        ("s", "oak"),
        ("l", "bare"),
        ("l", "oak"),
    ]


@pytest.mark.parametrize(
    "make",
    [
        lambda: PriceItem("p", "P", "m", -1),
        lambda: PriceItem("p", "P", "m", 1, 0),
        lambda: _line(Basis.PIECE, waste=-1),
        lambda: FinishSpec("f", "F", 50, -1, 0, 0, True, ()),
        lambda: SizeSpec("s", 0, 100),
        lambda: WorkSpec("a", "A", 6, (), ()),
    ],
)
def test_senseless_numbers_are_refused_by_name(make):
    with pytest.raises(InvalidRequest) as refusal:
        make()
    assert refusal.value.field in str(refusal.value)

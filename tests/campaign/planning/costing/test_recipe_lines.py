"""One recipe line on one piece: amount, need, words; and how large the piece is."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import Basis, FinishSpec, PriceItem, PriceStep, RecipeLine, SizePrice, SizeSpec, Wording
from campaign.planning.costing.recipe_lines import (
    Extent,
    cost_line,
    extent_of,
    line_amount_minor,
    need_micro,
    table_row,
)

EXTENT = Extent(print_width_mm=400, print_height_mm=600, width_mm=500, height_mm=700)
EURO = Wording("EUR", length_unit="cm")
TABLE = (SizePrice(300, 400, 1500), SizePrice(400, 600, 2600), SizePrice(800, 600, 2600), SizePrice(900, 900, 2500))


def _line(basis, *, unit="piece", price=100, per_milli=1000, quantity=1000, waste=0, **more):
    item = PriceItem("code", "Thing", unit, price, per_milli, **more)
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
    found = cost_line(line, extent=EXTENT, wording=EURO)
    assert (found.text, found.amount_minor, found.arithmetic) == ("Thing", amount, words)


@pytest.mark.parametrize(("quantity", "amount"), [(500, 0), (1500, 2), (2500, 2), (3500, 4)])
def test_half_a_cent_goes_to_the_even_one(quantity, amount):
    line = _line(Basis.PIECE, price=1, quantity=quantity)
    assert cost_line(line, extent=EXTENT, wording=EURO).amount_minor == amount


def test_amounts_in_a_currency_without_decimals_are_not_divided():
    line = _line(Basis.PIECE, price=250)
    assert "250" in cost_line(line, extent=EXTENT, wording=Wording("JPY")).arithmetic


def test_outer_size_adds_border_mat_and_moulding_on_both_sides():
    finish = FinishSpec("f", "F", 50, 10, 60, 25, True, ())
    extent = extent_of(SizeSpec("s", 300, 400), finish)
    assert (extent.width_mm, extent.height_mm) == (490, 590)
    assert (extent.print_width_mm, extent.print_height_mm) == (300, 400)


def _bars(**more):
    return _line(Basis.OUTER_PERIMETER, unit="m", price=900, per_milli=3000, is_sold_in_packs=True, **more)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (_bars(), "2.40 m, from packs of 3 m bought for the show"),
        (_bars(waste=1000), "2.40 m + 10 % waste, from packs of 3 m bought for the show"),
        (_bars(shelf_milli=1500), "2.40 m, from the shelf first, then packs of 3 m bought for the show"),
        (
            _line(Basis.PIECE, quantity=4000, shelf_milli=6000),
            "4 pieces, from the shelf first, the rest bought for the show",
        ),
    ],
)
def test_supply_costs_the_work_nothing_and_says_where_it_comes_from(line, words):
    found = cost_line(line, extent=EXTENT, wording=EURO)
    assert (found.amount_minor, found.arithmetic) == (0, words)


def test_need_counts_waste_and_a_started_millionth():
    assert need_micro(_bars(waste=1000), extent=EXTENT) == 2_640_000
    assert need_micro(_line(Basis.PRINT_AREA, unit="m2", quantity=333, waste=1, shelf_milli=1), extent=EXTENT) == 79_928


@given(
    width=st.integers(1, 5000), height=st.integers(1, 5000), quantity=st.integers(0, 50_000),
    waste=st.integers(0, 20_000), price=st.integers(0, 10**7), per=st.integers(1, 10**6), basis=st.sampled_from(Basis),
)  # fmt: skip
def test_whole_number_sums_are_the_exact_ones_rounded_once(width, height, quantity, waste, price, per, basis):
    extent = Extent(width, height, width + 40, height + 40, coverage_percent=70)
    row = SizePrice(6000, 6000, price)
    line = _line(basis, price=price, per_milli=per, quantity=quantity, waste=waste, table=(row,))
    measure = {
        Basis.PRINT_AREA: Fraction(width * height, 10**6),
        Basis.INK_AREA: Fraction(width * height * 70, 10**8),
        Basis.OUTER_AREA: Fraction((width + 40) * (height + 40), 10**6),
        Basis.OUTER_PERIMETER: Fraction(2 * (width + height + 80), 1000),
    }.get(basis, Fraction(1))
    units = measure * Fraction(quantity, 1000) * (1 + Fraction(waste, 10_000))
    each = Fraction(price) if basis in (Basis.PRINT_SIZE, Basis.OUTER_SIZE) else Fraction(price * 1000, per)
    assert line_amount_minor(line, extent=extent) == round(units * each)


@pytest.mark.parametrize(
    ("width", "height", "price"),
    [(300, 400, 1500), (400, 300, 1500), (301, 400, 2500), (600, 400, 2500), (901, 10, None), (900, 900, 2500)],
)
def test_cheapest_row_that_holds_the_piece_either_way_is_paid(width, height, price):
    line = _line(Basis.PRINT_SIZE, table=TABLE)
    extent = Extent(width, height, 5000, 5000)
    if price is None:
        with pytest.raises(ValueError, match="no row for 901 × 10 mm"):
            table_row(line, extent=extent)
    else:
        assert table_row(line, extent=extent).price_minor == price


def test_first_of_two_rows_with_one_price_is_named():
    line = _line(Basis.PRINT_SIZE, table=TABLE[:3])
    found = cost_line(line, extent=EXTENT, wording=EURO)
    assert (found.arithmetic, found.amount_minor) == ("1 piece up to 40 × 60 cm × €26.00", 2600)


def test_outer_size_looks_at_the_frame_and_not_at_the_print():
    line = _line(Basis.OUTER_SIZE, table=TABLE[:3], quantity=2000)
    assert cost_line(line, extent=EXTENT, wording=EURO).amount_minor == 5200
    assert cost_line(line, extent=EXTENT, wording=EURO).arithmetic == "2 pieces up to 80 × 60 cm × €26.00"


def test_price_by_size_is_paid_by_the_work_even_where_packs_are_on_the_shelf():
    line = _line(Basis.PRINT_SIZE, table=TABLE, shelf_milli=2000)
    assert line_amount_minor(line, extent=EXTENT) == 2500
    assert need_micro(line, extent=EXTENT) == 0


def test_ink_names_area_coverage_and_quantity():
    line = _line(Basis.INK_AREA, unit="ml", price=60, quantity=12_000)
    extent = Extent(400, 600, 500, 700, coverage_percent=85)
    found = cost_line(line, extent=extent, wording=EURO)
    assert (found.arithmetic, found.amount_minor) == ("0.240 m² × 85 % ink × 12 ml per m² × €0.60", 147)


def test_price_steps_belong_to_the_show_and_not_to_the_line():
    item = PriceItem("code", "Thing", "piece", 500, is_sold_in_packs=True, steps=(PriceStep(3, 400),))
    found = cost_line(RecipeLine(item, Basis.PIECE), extent=EXTENT, wording=EURO)
    assert (found.amount_minor, found.arithmetic) == (0, "1 piece, from whole pieces bought for the show")

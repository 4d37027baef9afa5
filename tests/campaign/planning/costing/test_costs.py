"""From price book and recipe to an option: amounts, needs, mass, printer time, worth."""

import pytest

from campaign.planning import (
    Basis,
    FinishSpec,
    Need,
    Pin,
    PlanRequest,
    PriceItem,
    RecipeLine,
    SizePrice,
    SizeSpec,
    Wording,
    WorkSpec,
    cost_option,
    options_for,
    supplies_for,
    terms_for,
)
from campaign.planning.costing.costs import printer_seconds, worth_points
from campaign.planning.costing.purchases import cost_of
from campaign.planning.costing.recipe_lines import Extent
from campaign.planning.errors import InvalidRequest, OverSizeTable

EXTENT = Extent(print_width_mm=400, print_height_mm=600, width_mm=500, height_mm=700)
EURO = Wording("EUR")


def _line(basis, *, unit="piece", price=100, per_milli=1000, quantity=1000, waste=0, mass=0, code="code", **more):
    item = PriceItem(code, "Thing", unit, price, per_milli, mass, **more)
    return RecipeLine(item=item, basis=basis, quantity_milli=quantity, waste_bp=waste)


SIZES = (SizeSpec("s", 400, 600),)


def _work(*lines, sizes=SIZES, finish=None, **more):
    finish = finish or FinishSpec("f", "F", 50, 0, 0, 0, True, lines)
    return WorkSpec("a", "A", 3, sizes, (finish,), **more)


def _option(work, **more):
    return options_for(work, printer_seconds_per_m2=600, **more).options[0]


def test_waste_is_paid_but_does_not_hang():
    finish = FinishSpec("f", "F", 50, 0, 0, 0, False, (_line(Basis.PRINT_AREA, unit="m2", waste=5000, mass=1000),))
    work = WorkSpec("a", "A", 3, (SizeSpec("s", 1000, 1000),), (finish,))
    option = options_for(work, printer_seconds_per_m2=600).options[0]
    assert (option.cost_minor, option.mass_g) == (150, 1000)


@pytest.mark.parametrize(("at_home", "seconds"), [(True, 101), (False, 0)])
def test_only_prints_made_at_home_take_printer_time(at_home, seconds):
    finish = FinishSpec("f", "F", 50, 0, 0, 0, at_home, ())
    work = WorkSpec("a", "A", 3, (SizeSpec("s", 300, 336),), (finish,))
    option = cost_option(work, size=work.sizes[0], finish=finish, printer_seconds_per_m2=1000)
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
    found = options_for(work, printer_seconds_per_m2=600)
    assert [(o.size_code, o.finish_code) for o in found.options] == [
        ("s", "bare"),
        ("s", "oak"),
        ("l", "bare"),
        ("l", "oak"),
    ]


def test_supply_is_needed_and_not_paid_by_the_work():
    bars = _line(Basis.OUTER_PERIMETER, unit="m", price=900, per_milli=3000, is_sold_in_packs=True, waste=1000)
    own = _line(Basis.PIECE, price=250, code="hooks")
    option = _option(_work(bars, own))
    assert option.needs == (Need("code", 2_200_000),)
    assert option.cost_minor == 250


def test_two_lines_of_one_supply_are_one_need():
    sheet = _line(Basis.PIECE, quantity=500, shelf_milli=6000)
    test_strip = _line(Basis.PIECE, quantity=250, shelf_milli=6000)
    assert _option(_work(sheet, test_strip)).needs == (Need("code", 750_000),)


def test_nothing_of_a_supply_is_no_need():
    assert _option(_work(_line(Basis.PIECE, quantity=0, shelf_milli=6000))).needs == ()


def test_what_is_given_for_a_work_is_neither_paid_nor_taken_from_the_shelf():
    frames = _line(Basis.PIECE, price=4000, shelf_milli=1000, code="frame", mass=2000)
    paper = _line(Basis.PRINT_AREA, unit="m2", price=1000, code="paper")
    option = _option(_work(frames, paper, given=(("frame", "The Net Loft"),)), wording=EURO)
    assert (option.needs, option.cost_minor, option.mass_g) == ((), 240, 2000)
    assert option.cost_lines[0].arithmetic == "1 piece, given by The Net Loft"


def test_without_wording_there_are_sums_and_no_words():
    work = _work(_line(Basis.PIECE, price=250))
    assert (_option(work).cost_lines, _option(work).cost_minor) == ((), 250)


def test_lines_add_up_to_the_option():
    lines = [_line(Basis.PRINT_AREA, unit="m2", price=333), _line(Basis.PIECE, price=7, quantity=1500)]
    option = _option(_work(*lines), wording=EURO)
    assert sum(line.amount_minor for line in option.cost_lines) == option.cost_minor


def test_ink_goes_by_area_and_coverage():
    ink = _line(Basis.INK_AREA, unit="ml", price=60, quantity=12_000, code="ink")
    full, sparse = _work(ink), _work(ink, coverage_percent=40)
    assert (_option(full).cost_minor, _option(sparse).cost_minor) == (173, 69)


def test_artists_own_worth_stands_in_place_of_the_sum():
    work = _work(worths=(("s", "f", 77), ("l", "f", 5)), sizes=(SizeSpec("s", 400, 600), SizeSpec("m", 500, 700)))
    assert [option.worth for option in options_for(work, printer_seconds_per_m2=600).options] == [77, 150]


def test_finish_gives_its_days_and_depth():
    finish = FinishSpec("f", "F", 50, 0, 0, 0, True, (), lead_days=7, depth_mm=35)
    option = _option(_work(finish=finish))
    assert (option.lead_days, option.depth_mm) == (7, 35)


def test_rules_of_the_work_are_handed_on():
    found = options_for(_work(series="Fog", must_hang=True, pin=Pin("north", 900, 1)), printer_seconds_per_m2=600)
    assert (found.series, found.must_hang, found.pin) == ("Fog", True, Pin("north", 900, 1))


TABLE = (SizePrice(300, 400, 1500), SizePrice(400, 600, 2600), SizePrice(800, 600, 2600))


def test_piece_beyond_the_size_table_is_not_offered():
    lab = _line(Basis.PRINT_SIZE, table=TABLE)
    sizes = (SizeSpec("s", 400, 300), SizeSpec("l", 1000, 700))
    found = options_for(_work(lab, sizes=sizes), printer_seconds_per_m2=600)
    assert [option.size_code for option in found.options] == ["s"]


def test_cost_of_a_piece_beyond_the_table_says_which_table():
    work = _work(_line(Basis.PRINT_SIZE, table=TABLE), sizes=(SizeSpec("l", 1000, 700),))
    with pytest.raises(OverSizeTable) as refusal:
        cost_option(work, size=work.sizes[0], finish=work.finishes[0], printer_seconds_per_m2=600)
    assert (refusal.value.item_name, refusal.value.width_mm, refusal.value.height_mm) == ("Thing", 1000, 700)


def test_given_print_needs_no_row_in_the_table():
    lab = _line(Basis.PRINT_SIZE, table=TABLE)
    work = _work(lab, sizes=(SizeSpec("l", 1000, 700),), given=(("code", "The Lab"),))
    assert _option(work, wording=EURO).cost_lines[0].amount_minor == 0


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


def test_a_piece_on_the_shelf_never_makes_a_finish_with_a_least_charge_dearer():
    def total_minor(shelf_milli):
        frame = PriceItem("frame", "Framing", "piece", 3_000, shelf_milli=shelf_milli)
        line = RecipeLine(frame, Basis.PIECE)
        finish = FinishSpec("framed", "Framed", 80, 0, 0, 0, True, (line,), least_minor=20_000)
        works = tuple(
            options_for(WorkSpec(f"w{i}", f"W{i}", 3, SIZES, (finish,)), printer_seconds_per_m2=0) for i in range(10)
        )
        request = PlanRequest(
            works=works, walls=(), show_cost_minor=0, min_gap_mm=0, printer_seconds=0,
            supplies=supplies_for([frame]), finishes=terms_for([finish]),
        )  # fmt: skip
        return cost_of(request, [0] * 10).total_minor

    assert total_minor(0) == 30_000
    assert total_minor(1_000) <= 30_000

"""The shopping list: whole packs of what the layout uses and is not there, ink after the shelf."""

import re
import uuid

import pytest

from campaign.models import PriceItem, RecipeLine, Work
from campaign.services.plans import refresh_staircase
from fulfilment.queries.nests import load_parts
from fulfilment.queries.print_list import read_print_list
from fulfilment.queries.shopping import read_shopping
from fulfilment.services.paper_stock import remove_paper
from fulfilment.services.show_prints import spoil_show_prints
from tests.builders import NOW
from tests.fulfilment.paper_scene import hung_show, lay, set_up, wall_prints
from tests.fulfilment.scene import LATER


@pytest.mark.parametrize("there", [0, 1, 3, 200])
def test_sheets_are_bought_in_whole_packs_of_what_is_not_there(show, there):
    hung_show(show)
    set_up(show, kind="sheets", there_sheets=there, pack_sheets=4, price_minor=1_000)
    [(_, _, _, laid)] = load_parts(lay(show).layout)
    [one] = read_shopping(show).paper
    lacking = max(0, len(laid.parts) - there)
    assert (one.used, one.there) == (len(laid.parts), there)
    assert one.packs == -(-lacking // 4)
    assert one.left == there + one.packs * 4 - one.used >= 0
    assert one.cost_minor == one.packs * 1_000


@pytest.mark.parametrize("there_mm", [0, 100, 1_300, 90_000])
def test_rolls_are_bought_whole_for_what_does_not_fit_on_the_rest(show, there_mm):
    hung_show(show)
    set_up(show, there_mm=there_mm, pack_mm=1_500, price_minor=2_500)
    [(_, _, _, laid)] = load_parts(lay(show).layout)
    [one] = read_shopping(show).paper
    bought = {part.holder for part in laid.parts if not part.is_owned}
    assert one.packs == len(bought)
    assert one.cost_minor == len(bought) * 2_500
    assert one.used == sum(part.height_mm for part in laid.parts)
    on_rest = sum(part.height_mm for part in laid.parts if part.is_owned)
    assert on_rest <= there_mm
    assert one.left >= 0


def test_before_anything_is_laid_out_no_paper_is_listed(show):
    hung_show(show)
    set_up(show)
    shopping = read_shopping(show)
    assert shopping.nest is None and shopping.paper == () and shopping.total_minor == 0


def test_paper_taken_away_since_is_named_and_not_counted(show):
    hung_show(show)
    stock = set_up(show)
    lay(show)
    remove_paper(show=show, stock=stock)
    shopping = read_shopping(show)
    assert (shopping.paper, shopping.gone) == ((), ("Cotton roll",))


@pytest.fixture
def inked(show):
    """Ink by coverage in cartridges: 10 ml a square metre on board, 20 ml framed; 1 ml on the shelf."""
    ink = PriceItem.objects.create(
        show=show, code="cartridge", name="Cartridge", unit="ml", price_minor=300, per_milli=5_000,
        is_sold_in_packs=True, shelf_milli=1_000,
    )  # fmt: skip
    for finish, quantity in (("board", 10_000), ("frame", 20_000)):
        RecipeLine.objects.create(
            finish=show.finishes.get(code=finish), item=ink, basis="ink_area", quantity_milli=quantity, position=9
        )
    Work.objects.filter(show=show, code="w02").update(coverage_percent=150)
    return hung_show(show)


def test_ink_is_for_walls_copies_and_spoiled_ones_after_the_shelf(inked):
    chosen = wall_prints(inked)[:1]
    spoil_show_prints(show=inked, chosen=chosen, note="", by="", request_key=uuid.uuid4(), now=LATER)
    needed = 0
    for line in read_print_list(inked).lines:
        wide, high = line.width_mm - 2 * line.border_mm, line.height_mm - 2 * line.border_mm
        rate = 20 if line.copy or line.chosen[2] == "frame" else 10
        coverage = 150 if line.copy or line.chosen[0] == "w02" else 100
        # mm² × ml/m² × % are 10^-8 ml; each need is rounded up to a millionth.
        needed += -(-wide * high * rate * coverage // 100) * (1 + line.history.spoilings)
    [line] = read_shopping(inked).ink
    packs = -(-(needed - 1_000_000) // 5_000_000)
    assert line.amount_minor == packs * 300
    assert re.search(rf"1 on the shelf, {packs} packs? of 5 ml", line.arithmetic), line.arithmetic


def test_a_show_without_ink_in_its_price_book_lists_none(show):
    hung_show(show)
    assert read_shopping(show).ink == ()


def test_what_the_plan_reckons_of_the_same_things_stands_beside(show):
    PriceItem.objects.filter(show=show, code="paper").update(is_sold_in_packs=True, per_milli=6_100, price_minor=11_800)
    show.inputs_version += 1
    show.save()
    refresh_staircase(show=show, now=NOW)
    hung_show(show)
    assert read_shopping(show).planned == (), "no paper is said to be that entry of the price book"
    set_up(show, item_code="paper")
    [line] = read_shopping(show).planned
    bought = next(one for one in show.fixed_plan.plan["purchases"] if one["supply_code"] == "paper")
    assert (line.text, line.amount_minor) == ("Cotton paper 310 g", bought["cost_minor"])
    assert "needed" in line.arithmetic

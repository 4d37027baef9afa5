"""The shopping list: whole packs of what the layout uses and is not there, ink after the shelf."""

import re
import uuid
from datetime import timedelta

import pytest

from campaign.models import PriceItem, RecipeLine, Work
from campaign.services.plans import refresh_staircase
from fulfilment.queries.nests import load_parts
from fulfilment.queries.print_list import read_print_list
from fulfilment.queries.shopping import read_shopping
from fulfilment.services.paper_stock import ChoiceWish, PaperWish, choose_papers, remove_paper, save_paper
from fulfilment.services.show_prints import spoil_show_prints, tick_show_prints
from tests.builders import NOW
from tests.fulfilment.paper_scene import ROLL, hung_show, lay, set_up, wall_prints
from tests.fulfilment.scene import LATER

MORNING = LATER + timedelta(hours=18)


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


def test_what_is_counted_after_laying_out_is_said_until_it_is_laid_out_anew(show):
    hung_show(show)
    stock = set_up(show, there_mm=900, pack_mm=1_500)
    lay(show)
    assert read_shopping(show).nest.recounted == ()
    save_paper(show=show, stock=stock, wish=PaperWish(**ROLL | {"price_minor": 1, "pack_mm": 1_500}), now=MORNING)
    assert read_shopping(show).nest.recounted == (), "the same count, and nothing is printed"
    bought = PaperWish(**ROLL | {"there_mm": 11_000, "pack_mm": 1_500})
    save_paper(show=show, stock=stock, wish=bought, now=MORNING)
    shopping = read_shopping(show)
    assert shopping.nest.recounted == (stock,) and shopping.has_to_buy
    lay(show, now=MORNING)
    shopping = read_shopping(show)
    assert (shopping.nest.recounted, shopping.has_to_buy, shopping.is_all_there) == ((), False, True)


def test_as_much_as_before_counted_again_after_printing_is_another_count(show):
    hung_show(show)
    stock = set_up(show)
    lay(show)
    tick_show_prints(show=show, chosen=wall_prints(show), by="", now=MORNING)
    assert read_shopping(show).nest.recounted == ()
    save_paper(show=show, stock=stock, wish=PaperWish(**ROLL), now=MORNING)
    assert read_shopping(show).nest.recounted == (stock,)


def test_what_is_to_be_bought_for_nothing_is_not_there(show):
    hung_show(show)
    set_up(show, there_mm=0, price_minor=0)
    lay(show)
    shopping = read_shopping(show)
    assert shopping.total_minor == 0 and shopping.has_to_buy and not shopping.is_all_there
    assert shopping.unpriced == ("Cotton roll",)


@pytest.mark.parametrize("price_minor", [0, 300])
def test_ink_that_is_lacking_is_not_there_whatever_it_costs(inked, price_minor):
    PriceItem.objects.filter(code="cartridge").update(price_minor=price_minor)
    set_up(inked, there_mm=100_000)
    lay(inked)
    shopping = read_shopping(inked)
    assert shopping.has_to_buy and not shopping.is_all_there
    assert shopping.unpriced == (() if price_minor else ("Cartridge",))
    PriceItem.objects.filter(code="cartridge").update(shelf_milli=900_000)
    assert read_shopping(inked).is_all_there


def test_where_prints_or_papers_are_not_counted_not_everything_is_there(show):
    hung_show(show)
    stock = set_up(show, there_mm=100_000)
    lay(show)
    assert read_shopping(show).is_all_there
    remove_paper(show=show, stock=stock)
    assert not read_shopping(show).is_all_there, "a paper is gone"
    small = set_up(show, kind="sheets", width_mm=320, height_mm=450, there_sheets=500)
    lay(show, now=MORNING)
    shopping = read_shopping(show)
    assert shopping.nest.too_large and not shopping.has_to_buy and not shopping.is_all_there
    set_up(show, name="Other", there_mm=100_000)
    choose_papers(show=show, wishes=[ChoiceWish(edition_code="harbour", paper_code=small.code)])
    lay(show, now=MORNING)
    shopping = read_shopping(show)
    assert shopping.without_paper and not shopping.nest.too_large and not shopping.is_all_there


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

"""Whole costs: packs and their price steps after the shelf, charges of finishes, show cost."""

import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import FinishTerms, Need, Pack, Supply
from campaign.planning.costing.purchases import cost_of, purchase
from campaign.planning.errors import NotForSale
from tests.plain_shows import option, show


def _supply(*packs, shelf=0, price=None, per=1_000_000):
    return Supply("mat", "Mat board", "piece", shelf_micro=shelf, packs=packs, price_minor=price, per_micro=per)


def test_shelf_is_used_first_and_costs_nothing():
    bought = purchase(_supply(Pack(5, 100), shelf=7), 6)
    assert (bought.from_shelf_micro, bought.bought_micro, bought.left_micro, bought.cost_minor) == (6, 0, 1, 0)
    assert bought.packs == (0,)


def test_what_the_shelf_lacks_comes_in_whole_packs():
    bought = purchase(_supply(Pack(5, 100), shelf=7), 13)
    assert (bought.packs, bought.bought_micro, bought.left_micro, bought.cost_minor) == ((2,), 10, 4, 200)


def test_ten_packs_are_bought_for_nine_where_that_is_cheaper():
    supply = _supply(Pack(1, 100), Pack(1, 85, from_count=10))
    assert purchase(supply, 8).cost_minor == 800
    bought = purchase(supply, 9)
    assert (bought.packs, bought.cost_minor, bought.left_micro) == ((0, 10), 850, 1)


def test_price_steps_count_per_size_and_sizes_are_combined():
    supply = _supply(Pack(10, 90), Pack(3, 30), Pack(10, 60, from_count=2))
    assert purchase(supply, 6).packs == (0, 2, 0)
    assert purchase(supply, 13).packs == (1, 1, 0)
    assert purchase(supply, 14).packs == (0, 0, 2)


def test_a_size_sold_from_three_on_is_never_bought_once():
    assert purchase(_supply(Pack(4, 10, from_count=3)), 1).packs == (3,)


def test_to_measure_is_rounded_up_once():
    assert purchase(_supply(price=100, per=3, shelf=1), 2).cost_minor == 34
    assert purchase(_supply(price=100, per=3), 3).cost_minor == 100


def test_without_a_price_only_the_shelf_is_there():
    assert purchase(_supply(shelf=4), 4).cost_minor == 0
    with pytest.raises(NotForSale) as caught:
        purchase(_supply(shelf=4), 6)
    assert (caught.value.supply_code, caught.value.lack_micro) == ("mat", 2)


packs_on_offer = st.lists(
    st.builds(Pack, st.sampled_from([2, 3, 5]), st.integers(0, 60), st.integers(1, 4)), min_size=1, max_size=4
)


def _by_trying(packs, lack):
    sizes = sorted({pack.quantity_micro for pack in packs})
    best = None
    for counts in itertools.product(*(range(max(-(-lack // size), 4) + 1) for size in sizes)):
        cost = 0
        for size, count in zip(sizes, counts, strict=True):
            fitting = [pack for pack in packs if pack.quantity_micro == size and pack.from_count <= count]
            if count and not fitting:
                break
            if count:
                largest = max(pack.from_count for pack in fitting)
                cost += count * min(pack.price_minor for pack in fitting if pack.from_count == largest)
        else:
            if sum(size * count for size, count in zip(sizes, counts, strict=True)) >= lack:
                best = cost if best is None else min(best, cost)
    return best


@given(packs_on_offer, st.integers(1, 17))
def test_purchase_costs_what_trying_every_count_finds(packs, lack):
    bought = purchase(_supply(*packs), lack)
    assert bought.cost_minor == _by_trying(packs, lack)
    assert bought.bought_micro == sum(c * p.quantity_micro for c, p in zip(bought.packs, packs, strict=True)) >= lack
    assert bought.cost_minor == sum(c * p.price_minor for c, p in zip(bought.packs, packs, strict=True))


@given(packs_on_offer, st.integers(0, 9), st.integers(0, 20), st.integers(0, 20))
def test_needing_more_never_costs_less(packs, shelf, one, other):
    supply = _supply(*packs, shelf=shelf)
    assert purchase(supply, min(one, other)).cost_minor <= purchase(supply, max(one, other)).cost_minor


def _request():
    plain = show(
        {
            "a": [option(work_code="a", finish="oak", cost_minor=300)],
            "b": [option(work_code="b", finish="oak", cost_minor=200)],
            "c": [option(work_code="c", finish="bare", cost_minor=50)],
        },
        show_cost_minor=1000,
    )
    needs = (Need("mat", 4),)
    works = [replace(work, options=(replace(work.options[0], needs=needs),)) for work in plain.works[:2]]
    return replace(
        plain,
        works=(*works, plain.works[2]),
        supplies=(_supply(Pack(5, 70), shelf=2),),
        finishes=(FinishTerms("oak", "Oak", setup_minor=40, least_minor=450), FinishTerms("bare", "Bare")),
    )


def test_cost_adds_show_works_packs_setup_and_least_charge():
    one = cost_of(_request(), (0, -1, 0))
    assert (one.show_minor, one.own_minor, one.total_minor) == (1000, 350, 1000 + 350 + 70 + 40 + 150)
    assert [(charge.finish_code, charge.setup_minor, charge.shortfall_minor) for charge in one.charges] == [
        ("oak", 40, 150)
    ]
    both = cost_of(_request(), (0, 0, -1))
    assert both.total_minor == 1000 + 500 + 140 + 40


def test_nothing_hung_costs_nothing():
    nothing = cost_of(_request(), (-1, -1, -1))
    assert (nothing.total_minor, nothing.purchases, nothing.charges) == (0, (), ())

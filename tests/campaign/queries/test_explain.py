"""Why a plan costs what it costs: every line in words, and parts that add up to the whole."""

from dataclasses import replace

import pytest

from campaign.models import GiftInKind, OptionWorth
from campaign.queries.explain import explain_plan, read_bill, read_work_facts
from campaign.queries.plan_request import read_plan_request
from campaign.queries.price_book import read_price_book
from tests.plain_shows import plan_show


@pytest.fixture
def rich(show):
    """The show with bars of moulding, a shelf, a set-up and a gift for one work."""
    show.price_items.filter(code="moulding").update(
        is_sold_in_packs=True, per_milli=3_000, price_minor=2_000, shelf_milli=1_500
    )
    show.finishes.filter(code="frame").update(setup_minor=500, least_minor=20_000)
    GiftInKind.objects.create(
        show=show, giver="Aunt Example", item=show.price_items.get(code="acrylic"), work=show.works.get(code="w05")
    )
    return show


def _explained(show, *, plan, request):
    book, facts = read_price_book(show), read_work_facts(show)
    return explain_plan(show, plan=plan, request=request, facts=facts, book=book)


def test_lines_of_each_work_add_up_to_its_cost(rich):
    request = read_plan_request(rich)
    plan = plan_show(request, 100_000)
    works = _explained(rich, plan=plan, request=request)
    assert len(works) == len(plan.works) > 3
    for work in works:
        assert work.is_from_today
        assert sum(line.amount_minor for line in work.lines) == work.planned.cost_minor


@pytest.mark.parametrize("money_minor", [0, 15_000, 40_000, 100_000])
def test_parts_of_the_bill_add_up_to_the_plan(rich, money_minor):
    request = read_plan_request(rich)
    plan = plan_show(request, money_minor)
    bill = read_bill(rich, plan=plan, request=request)
    assert bill.total_minor == plan.cost_minor <= money_minor
    assert bill.show_minor == (3_500 if plan.works else 0)
    assert bill.is_from_today


def test_bill_names_what_is_bought_and_charged(rich):
    request = read_plan_request(rich)
    bill = read_bill(rich, plan=plan_show(request, 100_000), request=request)
    words = {line.text: line.arithmetic for line in bill.bought}
    assert "1.5 on the shelf" in words["Oak moulding 20 mm"]
    assert words["Framed behind acrylic, set-up"] == "once for all works in this finish"


def test_giver_is_named_in_the_line(rich):
    request = read_plan_request(rich)
    works = _explained(rich, plan=plan_show(request, 100_000), request=request)
    given = next(work for work in works if work.planned.code == "w05")
    assert given.planned.finish_code == "frame"
    assert any(line.arithmetic.endswith("given by Aunt Example") for line in given.lines)


def test_show_costs_edited_since_stand_in_one_line(rich):
    request = read_plan_request(rich)
    plan = plan_show(request, 100_000)
    rich.show_costs.update(amount_minor=9_900)
    bill = read_bill(rich, plan=plan, request=request)
    assert not bill.is_from_today
    assert [line.amount_minor for line in bill.show_lines] == [3_500]
    assert bill.total_minor == plan.cost_minor


def test_price_edited_since_is_told_apart(rich):
    request = read_plan_request(rich)
    plan = plan_show(request, 100_000)
    rich.price_items.filter(code="board").update(price_minor=1)
    assert not any(work.is_from_today for work in _explained(rich, plan=plan, request=request))


def test_own_worth_is_told_apart(rich):
    work = rich.works.get(code="w05")
    for size in work.sizes.all():
        for finish in rich.finishes.all():
            OptionWorth.objects.create(work=work, size=size, finish=finish, worth=900)
    request = read_plan_request(rich)
    works = _explained(rich, plan=plan_show(request, 100_000), request=request)
    assert {one.planned.code for one in works if one.is_own_worth} == {"w05"}


def test_size_table_that_became_too_small_gives_no_lines(rich):
    request = read_plan_request(rich)
    plan = plan_show(request, 100_000)
    lab = rich.price_items.create(code="lab", name="Lab print", unit="piece", price_minor=0)
    lab.size_prices.create(width_mm=100, height_mm=100, price_minor=100)
    for finish in rich.finishes.all():
        finish.recipe_lines.create(item=lab, basis="print_size", position=9)
    assert {work.lines for work in _explained(rich, plan=plan, request=request)} == {()}


def test_upper_row_is_read_before_the_lower_one(rich):
    request = read_plan_request(rich)
    plan = plan_show(request, 100_000)
    first, *others = plan.works
    lower = replace(first, placement=replace(first.placement, row=1, x_mm=0))
    shuffled = replace(plan, works=(lower, *others))
    wall = [
        one.planned.code
        for one in _explained(rich, plan=shuffled, request=request)
        if one.planned.placement.wall_code == first.placement.wall_code
    ]
    assert wall[-1] == first.code

"""Wall money: every part with its sign, and nothing else."""

from dataclasses import fields

from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import Income, wall_money
from campaign.planning.income import tax_inside

MONEY = st.integers(0, 10**9)


def test_costs_of_the_orders_and_fees_are_taken_off():
    income = Income(
        received_minor=100_000,
        refunded_minor=5_000,
        fee_minor=2_500,
        tax_minor=7_000,
        make_minor=11_000,
        pack_minor=3_000,
        post_minor=6_000,
        campaign_cost_minor=1_500,
        sponsor_minor=20_000,
        grant_minor=30_000,
        own_minor=4_000,
    )
    found = wall_money(income)
    assert found.total_minor == 118_000
    assert [line.amount_minor for line in found.lines][:3] == [100_000, -5_000, -2_500]


def test_first_line_stands_even_when_nothing_came_in():
    found = wall_money(Income())
    assert [line.text for line in found.lines] == ["Received for orders and gifts"]
    assert found.total_minor == 0


def test_wall_money_may_be_below_zero():
    assert wall_money(Income(campaign_cost_minor=900)).total_minor == -900


def test_sum_before_the_contingency_is_still_there():
    found = wall_money(Income(received_minor=10_000, make_minor=2_000, contingency_minor=800))
    assert (found.before_contingency_minor, found.total_minor) == (8_000, 7_200)


NAMES = [field.name for field in fields(Income)]


@given(st.lists(MONEY, min_size=len(NAMES), max_size=len(NAMES)))
def test_lines_add_up_to_the_total(amounts):
    found = wall_money(Income(**dict(zip(NAMES, amounts, strict=True))))
    assert sum(line.amount_minor for line in found.lines) == found.total_minor
    plus = {"received_minor", "sponsor_minor", "grant_minor", "own_minor"}
    expected = sum(a if n in plus else -a for n, a in zip(NAMES, amounts, strict=True))
    assert found.total_minor == expected


@given(MONEY, st.integers(0, 3000))
def test_tax_inside_a_price_leaves_the_net(gross, rate_bp):
    tax = tax_inside(gross, tax_bp=rate_bp)
    assert abs(tax * (10_000 + rate_bp) - gross * rate_bp) * 2 <= 10_000 + rate_bp

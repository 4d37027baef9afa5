"""A plan's cost opened into lines: words of purchases and charges, and sums that add up."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import Charge, FinishTerms, Pack, Plan, Supply, Wording, bill_lines
from campaign.planning.costing.bills import charge_lines, purchase_line
from campaign.planning.costing.purchases import purchase

EURO = Wording("EUR")
BOARDS = Supply("board", "Board", "piece", 6_000_000, (Pack(25_000_000, 6_200), Pack(25_000_000, 5_800, 3)))
BARS = Supply("bar", "Oak bar", "m", 0, (Pack(3_000_000, 900),))
INK = Supply("ink", "Ink", "ml", 20_000_000, price_minor=6_000, per_micro=100_000_000)


@pytest.mark.parametrize(
    ("supply", "needed", "words", "amount"),
    [
        (BOARDS, 27_000_000, "27 pieces needed, 6 on the shelf, 1 pack of 25 for €62.00; 4 pieces left over", 6_200),
        (BOARDS, 6_000_000, "6 pieces needed, all on the shelf", 0),
        (BOARDS, 1_000_000, "1 piece needed, all on the shelf; 5 pieces left over", 0),
        (BOARDS, 81_000_000, "81 pieces needed, 6 on the shelf, 3 packs of 25 at €58.00 each", 17_400),
        (BARS, 7_260_000, "7.26 m needed, 3 packs of 3 m at €9.00 each; 1.74 m left over", 2_700),
        (INK, 35_500_000, "35.5 ml needed, 20 on the shelf, 15.5 ml × €60.00 per 100 ml", 930),
        (replace(INK, per_micro=1_000_000, price_minor=60), 21_000_000,
         "21 ml needed, 20 on the shelf, 1 ml × €0.60", 60),
    ],
)  # fmt: skip
def test_purchase_opens_into_words(supply, needed, words, amount):
    line = purchase_line(purchase(supply, needed), supply=supply, wording=EURO)
    assert (line.text, line.arithmetic, line.amount_minor) == (supply.name, words, amount)


def test_setup_and_shortfall_are_a_line_each():
    terms = FinishTerms("lab", "Lab print", setup_minor=2_500, least_minor=8_000)
    lines = charge_lines(Charge("lab", 2_500, 1_800), terms=terms, wording=EURO)
    assert [line.amount_minor for line in lines] == [2_500, 1_800]
    assert lines[1].arithmetic == "least charge €80.00 − €62.00 for its works"


@pytest.mark.parametrize(("charge", "count"), [(Charge("lab", 2_500, 0), 1), (Charge("lab", 0, 10), 1)])
def test_what_is_nothing_has_no_line(charge, count):
    terms = FinishTerms("lab", "Lab print", setup_minor=2_500, least_minor=8_000)
    assert len(charge_lines(charge, terms=terms, wording=EURO)) == count


@given(needed=st.lists(st.integers(1, 10**9), min_size=3, max_size=3), setup=st.integers(0, 9_999))
def test_lines_add_up_to_what_the_plan_pays_beside_its_works(needed, setup):
    supplies = (BOARDS, BARS, INK)
    purchases = tuple(purchase(supply, micro) for supply, micro in zip(supplies, needed, strict=True))
    charges = (Charge("lab", setup, 700),)
    plan = Plan(0, 0, 0, True, 0, (), None, None, purchases=purchases, charges=charges)
    lines = bill_lines(plan, supplies=supplies, finishes=(FinishTerms("lab", "Lab", setup, 900),), wording=EURO)
    assert sum(line.amount_minor for line in lines) == sum(one.cost_minor for one in purchases) + setup + 700

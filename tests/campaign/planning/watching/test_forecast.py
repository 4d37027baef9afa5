"""Where a campaign may end: bands that hold about as often as they say, on campaigns of many shapes."""

import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning.watching.forecast import LEAST_ORDERS, forecast, share_by


def test_the_share_rises_from_nothing_to_all_and_is_steep_at_both_ends():
    shares = [share_by(day / 30) for day in range(31)]
    assert shares[0] == 0.0 and shares[-1] == pytest.approx(1.0)
    assert all(before < after for before, after in pairwise(shares))
    steps = [after - before for before, after in pairwise(shares)]
    assert min(steps[:4]) > max(steps[5:24]) < min(steps[26:])


def test_days_one_to_four_and_the_last_five_hold_what_the_assumption_says():
    # trade facts, section 9: 26.7 % each; an assumption of ours, no paper.
    assert share_by(4 / 30) == pytest.approx(12 / 45)
    assert 1 - share_by(25 / 30) == pytest.approx(12 / 45)


@pytest.mark.parametrize(("orders", "elapsed"), [(LEAST_ORDERS - 1, 0.5), (100, 0.09), (0, 0.9)])
def test_nothing_is_said_too_early(orders, elapsed):
    assert forecast(orders=orders, total_minor=10_000, elapsed=elapsed) is None


@given(st.integers(8, 5_000), st.integers(1, 10**9), st.floats(0.1, 1.2))
def test_the_band_never_ends_below_what_is_there(orders, total, elapsed):
    band = forecast(orders=orders, total_minor=total, elapsed=elapsed)
    assert total <= band.low_minor <= band.high_minor


@given(st.integers(8, 500), st.floats(0.1, 0.9))
def test_at_the_end_the_band_is_what_came(orders, elapsed):
    assert forecast(orders=orders, total_minor=999, elapsed=1.0).low_minor == 999
    early = forecast(orders=orders, total_minor=50_000, elapsed=elapsed)
    late = forecast(orders=orders, total_minor=50_000, elapsed=elapsed + 0.09)
    assert late.high_minor <= early.high_minor


def campaign_of(chance):
    """Orders (day as a share of the time, sum) of an invented campaign whose U is deeper or flatter than ours."""
    ends = chance.uniform(1.0, 6.0)  # how much busier the ends are than the middle
    late = chance.uniform(0.5, 1.8)  # and the end than the beginning
    mean = chance.uniform(0.4, 6.0)
    orders = []
    for day in range(30):
        weight = ends if day < 4 else ends * late if day >= 25 else 1.0
        rate = mean * weight * chance.gammavariate(3, 1 / 3)  # some days are lucky
        count = sum(1 for _ in range(200) if chance.random() < rate / 200)
        orders += [
            ((day + chance.random()) / 30, chance.choice([3_500, 4_990, 4_990, 9_480, 1_500])) for _ in range(count)
        ]
    return sorted(orders)


@pytest.mark.parametrize("elapsed", [0.15, 0.3, 0.5, 0.75, 0.9])
def test_four_times_in_five_is_kept_on_campaigns_of_many_shapes(elapsed):
    chance, held, said = random.Random(20_261_126), 0, 0
    for _ in range(600):
        orders = campaign_of(chance)
        so_far = [minor for moment, minor in orders if moment <= elapsed]
        band = forecast(orders=len(so_far), total_minor=sum(so_far), elapsed=elapsed)
        if band:
            said += 1
            held += band.low_minor <= sum(minor for _, minor in orders) <= band.high_minor
    share = held / said
    print(f"elapsed {elapsed:.0%}: {said} campaigns, band held in {share:.1%}")
    assert 0.72 <= share <= 0.97

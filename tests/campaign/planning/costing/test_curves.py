"""Cost curves of supplies: the same as buying each quantity by itself."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import Pack, Supply
from campaign.planning.costing.curves import PackCurve, curve_of
from campaign.planning.costing.purchases import purchase
from campaign.planning.errors import InvalidRequest

packs_on_offer = st.lists(
    st.builds(Pack, st.sampled_from([2, 3, 5, 7]), st.integers(0, 60), st.integers(1, 4)), min_size=1, max_size=5
)


@given(packs_on_offer, st.integers(0, 5), st.integers(0, 30))
def test_curve_of_packs_costs_what_each_quantity_costs_by_itself(packs, shelf, most):
    supply = Supply("mat", "Mat", "piece", shelf_micro=shelf, packs=tuple(packs))
    curve = curve_of(supply, most_micro=most)
    needed = np.arange(most + 1)
    assert curve.cost(needed).tolist() == [purchase(supply, q).cost_minor for q in range(most + 1)]
    assert (np.diff(curve.reach) > 0).all() and (np.diff(curve.costs) > 0).all()


@given(st.integers(0, 5), st.integers(0, 90), st.integers(1, 7), st.integers(0, 30))
def test_curve_to_measure_rounds_up_once(shelf, price, per, most):
    supply = Supply("mat", "Mat", "m", shelf_micro=shelf, price_minor=price, per_micro=per)
    curve = curve_of(supply, most_micro=most)
    assert curve.cost(np.arange(most + 1)).tolist() == [purchase(supply, q).cost_minor for q in range(most + 1)]


def test_what_cannot_be_bought_has_no_curve():
    assert curve_of(Supply("mat", "Mat", "m", shelf_micro=5), most_micro=9) is None


def test_hundred_thousands_of_packs_are_refused():
    with pytest.raises(InvalidRequest, match="packs"):
        curve_of(Supply("mat", "Mat", "m", packs=(Pack(1, 1),)), most_micro=10**9)


def test_free_packs_reach_everything_at_once():
    curve = curve_of(Supply("mat", "Mat", "m", packs=(Pack(4, 0),)), most_micro=9)
    assert isinstance(curve, PackCurve)
    assert curve.cost(np.array([0, 1, 9])).tolist() == [0, 0, 0]

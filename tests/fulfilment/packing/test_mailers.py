"""Mailers and tubes: what goes in, the least that packing and posting cost, and one stock for all addresses."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fulfilment.packing import (
    LETTER_POST,
    Box,
    CannotPack,
    Consignment,
    Leaf,
    Limits,
    Mailer,
    count_mailers,
    fit_fault,
    limit_faults,
    pack_all,
    pack_parcels,
)

A3 = Leaf("a3", 297, 420, 400, 60, least_tube_mm=70)
A4 = Leaf("a4", 210, 297, 400, 30)
LARGE = Leaf("a1", 594, 841, 500, 170, least_tube_mm=76)
FLAT_A3 = Mailer("board", Box(450, 330, 10), Box(460, 340, 14), 250, 220, 9, edge_mm=5)
FLAT_A4 = Mailer("envelope", Box(320, 230, 6), Box(330, 240, 8), 90, 80, 9, edge_mm=5)
TUBE = Mailer("tube", Box(640, 100, 100, is_tube=True), Box(660, 106, 106, is_tube=True), 320, 260, 9)
ALL = (FLAT_A3, FLAT_A4, TUBE)
ANY = Limits("any")


def by_weight(box: Box, mass_g: int, copies: int) -> int | None:
    """Small, large, too heavy."""
    return 370 if mass_g <= 500 and not box.is_tube else 790 if mass_g <= 2_000 else None


def packed(leaves, *, mailers=ALL, limits=ANY, postage=by_weight):
    return [
        (one.mailer.code, one.leaves) for one in pack_parcels(leaves, mailers=mailers, limits=limits, postage=postage)
    ]


def test_the_cheapest_mailer_that_takes_it():
    assert packed({A4: 1}) == [("envelope", (("a4", 1),))]
    assert packed({A3: 1}) == [("board", (("a3", 1),))]
    assert packed({LARGE: 1}) == [("tube", (("a1", 1),))]


def test_copies_to_one_address_travel_together_while_that_is_cheaper():
    assert packed({A3: 3, A4: 2}) == [("board", (("a3", 3), ("a4", 2)))]


def test_what_lies_flat_never_goes_into_a_tube():
    assert fit_fault([(A4, 1)], TUBE) == "a4 must lie flat"
    assert packed({LARGE: 1, A4: 1}) == [("tube", (("a1", 1),)), ("envelope", (("a4", 1),))]


def test_too_thick_for_one_mailer_makes_two():
    assert [code for code, _ in packed({A4: 20}, mailers=(FLAT_A4,))] == ["envelope", "envelope"]
    assert fit_fault([(A4, 15)], FLAT_A4) == ""
    assert fit_fault([(A4, 16)], FLAT_A4) == "7 mm thick, 6 mm deep"


def test_a_tube_is_full_when_its_ring_of_paper_is():
    most = max(count for count in range(1, 400) if not fit_fault([(LARGE, count)], TUBE))
    ring_mm2 = 3.14159265 / 4 * (100**2 - 76**2)
    # The print lies with its shorter side along the tube, so its longer one goes around.
    assert most == int(ring_mm2 / (0.5 * 841))


def test_a_tube_takes_the_longest_side_it_can_along_it():
    long_tube = Mailer("long", Box(850, 100, 100, is_tube=True), Box(870, 106, 106, is_tube=True), 320, 260, 9)
    most = max(count for count in range(1, 400) if not fit_fault([(LARGE, count)], long_tube))
    assert most == int(3.14159265 / 4 * (100**2 - 76**2) / (0.5 * 594))


def test_a_paper_that_may_not_be_rolled_so_tight_is_refused():
    stiff = Leaf("stiff", 500, 600, 500, 170, least_tube_mm=120)
    assert "no tighter than 120 mm" in fit_fault([(stiff, 1)], TUBE)


def test_a_print_that_nothing_takes_is_refused_with_each_reason():
    with pytest.raises(CannotPack) as refused:
        pack_parcels({Leaf("huge", 900, 1300, 400, 500): 1}, mailers=ALL, limits=ANY, postage=by_weight)
    assert refused.value.code == "huge"
    assert [reason.partition(":")[0] for reason in refused.value.reasons] == ["board", "envelope", "tube"]


def test_limits_of_the_service_are_asked_with_the_outer_size_and_the_whole_weight():
    long_tube = Mailer("long", Box(930, 80, 80, is_tube=True), Box(950, 90, 90, is_tube=True), 320, 260, 9)
    with pytest.raises(CannotPack) as refused:
        pack_parcels({LARGE: 1}, mailers=(long_tube,), limits=LETTER_POST, postage=by_weight)
    assert refused.value.reasons == (
        "long: length 950 mm, at most 900 mm; length and twice the diameter 1,130 mm, at most 1,040 mm",
    )


def test_a_weight_without_a_price_is_refused_in_words():
    with pytest.raises(CannotPack) as refused:
        pack_parcels({A4: 1}, mailers=(FLAT_A4,), limits=ANY, postage=lambda box, mass_g, copies: None)
    assert refused.value.reasons == ("envelope: no postage for 120 g",)


def test_reasons_are_said_in_the_unit_that_is_asked_for():
    small = Mailer("small", Box(254, 127, 6), Box(260, 130, 8), 40, 50, 9)
    assert fit_fault([(A4, 1)], small, unit="in") == "8.27 × 11.7 in is larger than the 5 × 10 in inside"
    assert fit_fault([(A4, 20)], FLAT_A4, unit="cm") == "0.8 cm thick, 0.6 cm deep"
    faults = limit_faults(Box(940, 76, 76, is_tube=True), mass_g=1, limits=LETTER_POST, unit="cm")
    assert faults == ("length 94 cm, at most 90 cm", "length and twice the diameter 109.2 cm, at most 104 cm")


def test_what_is_there_is_taken_before_what_would_be_bought():
    gone = Mailer("envelope", FLAT_A4.inner, FLAT_A4.outer, 90, 80, 0, edge_mm=5)
    assert packed({A4: 1}, mailers=(gone, FLAT_A3)) == [("board", (("a4", 1),))]
    assert packed({A4: 1}, mailers=(gone,)) == [("envelope", (("a4", 1),))]


LEAVES = st.builds(
    Leaf, st.sampled_from(["p", "q"]), st.sampled_from([200, 300, 500]), st.sampled_from([200, 400]),
    st.sampled_from([400, 2_000]), st.sampled_from([40, 300]), st.sampled_from([0, 60]),
)  # fmt: skip
INNER = st.builds(Box, st.sampled_from([320, 520]), st.sampled_from([230, 430]), st.sampled_from([4, 12]))
OUTER = st.just(Box(530, 440, 14))
MAILERS = st.lists(
    st.builds(
        Mailer, st.sampled_from("abc"), INNER, OUTER, st.sampled_from([50, 200]), st.sampled_from([0, 90, 300]),
        st.just(5),
    ),
    min_size=1, max_size=3, unique_by=lambda mailer: mailer.code,
)  # fmt: skip


def cost_of_every_split(leaves, mailers):
    """The least cost by trying every set of parcels; None where a print goes into none."""
    kinds = list(leaves)

    def one(part):
        costs = []
        for mailer in mailers:
            chosen = [(leaf, count) for leaf, count in zip(kinds, part, strict=True) if count]
            mass_g = mailer.mass_g + sum(leaf.mass_g * count for leaf, count in chosen)
            if not fit_fault(chosen, mailer) and not limit_faults(mailer.outer, mass_g=mass_g, limits=ANY):
                price = by_weight(mailer.outer, mass_g, sum(part))
                costs += [] if price is None else [mailer.price_minor + price]
        return min(costs, default=None)

    def least(left):
        if not any(left):
            return 0
        found = []
        for part in product(*(range(count + 1) for count in left)):
            here = one(part) if any(part) else None
            rest = least(tuple(a - b for a, b in zip(left, part, strict=True))) if here is not None else None
            found += [] if rest is None else [here + rest]
        return min(found, default=None)

    return least(tuple(leaves.values()))


@settings(max_examples=150, deadline=None)
@given(
    kinds=st.lists(LEAVES, min_size=1, max_size=2, unique_by=lambda leaf: leaf.code), mailers=MAILERS, data=st.data()
)
def test_no_split_costs_less(kinds, mailers, data):
    leaves = {leaf: data.draw(st.integers(1, 3)) for leaf in kinds}
    least = cost_of_every_split(leaves, mailers)
    try:
        parcels = pack_parcels(leaves, mailers=mailers, limits=ANY, postage=by_weight)
    except CannotPack:
        assert least is None
        return
    assert sum(parcel.cost_minor for parcel in parcels) == least
    for leaf, count in leaves.items():
        assert sum(dict(parcel.leaves).get(leaf.code, 0) for parcel in parcels) == count


def test_a_great_order_is_filled_one_parcel_after_the_other():
    parcels = pack_parcels({A4: 500}, mailers=(FLAT_A4,), limits=ANY, postage=by_weight)
    assert sum(dict(parcel.leaves)["a4"] for parcel in parcels) == 500
    # 370 for up to 500 g, so each holds as many as may go, by thickness.
    assert {dict(parcel.leaves)["a4"] for parcel in parcels} <= {15, 500 % 15}


def test_one_stock_serves_all_addresses_in_turn():
    few = (Mailer("envelope", FLAT_A4.inner, FLAT_A4.outer, 90, 80, 2, edge_mm=5), FLAT_A3)
    orders = [Consignment(key, ((A4, 1),), "home") for key in range(5)]
    parcels, refused = pack_all(orders, mailers=few, services={"home": (ANY, by_weight)})
    assert [parcels[key][0].mailer.code for key in range(5)] == ["envelope"] * 2 + ["board"] * 3
    assert not refused
    assert count_mailers((p for one in parcels.values() for p in one), mailers=few) == {
        "board": (3, 0),
        "envelope": (2, 0),
    }


def test_one_address_does_not_take_the_same_mailer_twice_while_another_would_do():
    one = (Mailer("envelope", FLAT_A4.inner, FLAT_A4.outer, 90, 80, 1, edge_mm=5), FLAT_A3)
    parcels, _ = pack_all([Consignment(1, ((A4, 20),), "home")], mailers=one, services={"home": (ANY, by_weight)})
    assert sorted(parcel.mailer.code for parcel in parcels[1]) == ["board", "envelope"]
    assert sum(dict(parcel.leaves)["a4"] for parcel in parcels[1]) == 20


def test_an_address_that_cannot_be_served_does_not_stop_the_others():
    orders = [Consignment(1, ((Leaf("huge", 2000, 2000, 400, 900), 1),), "home"), Consignment(2, ((A4, 1),), "home")]
    parcels, refused = pack_all(orders, mailers=ALL, services={"home": (ANY, by_weight)})
    assert list(parcels) == [2]
    assert list(refused) == [1]


def test_what_has_to_be_bought_is_counted():
    none = (Mailer("envelope", FLAT_A4.inner, FLAT_A4.outer, 90, 80, 1, edge_mm=5),)
    parcels, _ = pack_all(
        [Consignment(key, ((A4, 1),), "home") for key in range(3)], mailers=none, services={"home": (ANY, by_weight)}
    )
    assert count_mailers((p for one in parcels.values() for p in one), mailers=none) == {"envelope": (3, 2)}

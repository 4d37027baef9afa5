"""Whatever is ordered, owned and allowed: every copy is in exactly one parcel, or refused with a reason."""

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.models import Edition, PostageRate, Show
from campaign.queries.basket import price_load
from campaign.queries.postage import Load
from fulfilment.models import Mailer, PostService, TravelFacts
from fulfilment.packing import PrintedCopy
from fulfilment.queries.parcel_plan import PackingGround, parcel_faults, plan_parcels, reckon_parcel
from tests.builders import NOW

CODES = ("harbour", "pocket", "poster")
SIZES = {"harbour": (297, 210), "pocket": (150, 100), "poster": (900, 600)}
COUNTRIES = ("DE", "FR", "CH", "US", "ES")
SHOW = Show(code="s", country="DE", currency="EUR")
EDITIONS = {
    code: Edition(
        code=code, title=code.title(), width_mm=size[0], height_mm=size[1], mass_g=150, parcel_width_mm=0
    )
    for code, size in SIZES.items()
}  # fmt: skip


def _rates(cost):
    zones = {"Home": "DE", "Near": "FR CH ES"}
    return [
        PostageRate(zone=zone, countries=countries, up_to_g=up_to_g, charge_minor=cost, cost_minor=cost + up_to_g)
        for zone, countries in zones.items()
        for up_to_g in (300, 1_000, 3_000)
    ]  # fmt: skip


@st.composite
def mailers(draw):
    """One to three mailers or tubes with few or none of them there."""
    found = []
    for key in range(1, draw(st.integers(1, 3)) + 1):
        is_tube = draw(st.booleans())
        length, width = draw(st.sampled_from([320, 640, 1_000])), draw(st.sampled_from([110, 230, 620]))
        depth = width if is_tube else draw(st.sampled_from([4, 9, 30]))
        found.append(
            Mailer(
                pk=key,
                code=f"M{key}",
                name=f"Mailer {key}",
                is_tube=is_tube,
                inner_length_mm=length,
                inner_width_mm=width,
                inner_depth_mm=depth,
                outer_length_mm=length + 20,
                outer_width_mm=width + 6,
                outer_depth_mm=depth + 6,
                edge_mm=0 if is_tube else 5,
                mass_g=draw(st.sampled_from([60, 300])),
                price_minor=draw(st.sampled_from([50, 200])),
                count=0,
            )
        )
    return tuple(found)


@st.composite
def grounds(draw):
    """What an artist may have set up, whole or in part."""
    owned = draw(mailers())
    known = draw(st.lists(st.sampled_from(CODES), unique=True))
    thick, tight = draw(st.sampled_from([400, 2_500])), draw(st.sampled_from([0, 76]))
    services = {
        zone: PostService(
            zone=zone, mass_g=draw(st.sampled_from([0, 500, 2_000])), longest_mm=draw(st.sampled_from([0, 600])),
            divisor_mm3_per_g=draw(st.sampled_from([0, 5_000])), is_letter_post=draw(st.booleans()),
        )
        for zone in draw(st.lists(st.sampled_from(["Home", "Near"]), unique=True))
    }  # fmt: skip
    return PackingGround(
        show=SHOW,
        editions=EDITIONS,
        travel={code: TravelFacts(thickness_um=thick, mass_g=70, least_tube_mm=tight) for code in known},
        mailers=owned,
        left={mailer.pk: draw(st.integers(-1, 3)) for mailer in owned},
        services=services,
        rates=_rates(draw(st.sampled_from([0, 400]))),
        limit_minor=draw(st.sampled_from([None, 37_305])),
        anyway=frozenset(draw(st.lists(st.integers(0, 20)))),
    )


@st.composite
def ready(draw):
    """Up to twenty copies of a few people in five countries; to one of them nothing is posted."""
    found = []
    for key in range(draw(st.integers(1, 20))):
        person = draw(st.integers(0, 4))
        found.append(
            PrintedCopy(
                key=key,
                number=key + 1,
                edition_code=draw(st.sampled_from(CODES)),
                mass_g=150,
                name=f"Person {person}",
                email=f"p{person}@example.org",
                address=(("city", "X"), ("country_code", COUNTRIES[person])),
                value_minor=4_500 + key,
            )
        )
    return tuple(found)


@settings(max_examples=200)
@given(ground=grounds(), copies=ready(), seed=st.integers(0, 99))
def test_every_copy_is_in_one_parcel_or_refused_with_a_reason(ground, copies, seed):
    plan = plan_parcels(ground, copies)
    packed = [copy.key for one in plan.parcels for copy in one.copies]
    left_out = [copy.key for one in plan.refused for copy in one.group.copies]
    assert sorted(packed + left_out) == [copy.key for copy in copies]
    assert all(one.copies for one in plan.parcels)
    for one in plan.refused:
        assert one.reasons and all(reason.strip() for reason in one.reasons)
        assert not ground.anyway.issuperset(copy.key for copy in one.group.copies)
    shuffled = list(copies)
    random.Random(seed).shuffle(shuffled)
    assert plan_parcels(ground, shuffled) == plan


@settings(max_examples=200)
@given(ground=grounds(), copies=ready())
def test_a_parcel_in_a_mailer_fits_is_allowed_and_has_its_postage(ground, copies):
    for one in plan_parcels(ground, copies).parcels:
        address = dict(one.group.address)
        assert {copy.address for copy in one.copies} == {one.group.address}
        assert one.sums.value_minor == sum(copy.value_minor for copy in one.copies)
        assert 0 <= one.sums.insured_minor <= one.sums.value_minor
        assert one.sums.charged_mass_g >= one.sums.mass_g
        if one.mailer is not None:
            faults = parcel_faults(ground, address=address, copies=one.copies, mailer=one.mailer, sums=one.sums)
            assert faults == () and not one.caution
        assert (one.sums.customs_note != "") == (address["country_code"] in ("CH", "US"))


@settings(max_examples=200)
@given(ground=grounds(), copies=ready())
def test_nobody_is_given_a_mailer_that_is_not_there_while_one_that_is_would_do(ground, copies):
    """Parcel by parcel in the order of the plan, each from what the ones before it left."""
    left = dict(ground.left)
    for one in plan_parcels(ground, copies).parcels:
        if one.mailer is None:
            continue
        if left[one.mailer.pk] <= 0:
            there = [mailer for mailer in ground.mailers if left[mailer.pk] > 0]
            assert not any(_takes(ground, mailer, one) for mailer in there)
        left[one.mailer.pk] -= 1


def _takes(ground, mailer, parcel):
    asked = {"address": dict(parcel.group.address), "copies": parcel.copies, "mailer": mailer}
    return not parcel_faults(ground, **asked, sums=reckon_parcel(ground, **asked))


@settings(max_examples=100)
@given(ground=grounds(), copies=ready())
def test_without_a_mailer_a_parcel_costs_what_its_basket_would(ground, copies):
    for one in plan_parcels(ground, copies).parcels:
        country = dict(one.group.address)["country_code"]
        if one.mailer is None and one.sums.postage_minor is not None:
            load = Load(len(one.copies), one.sums.charged_mass_g)
            basket = price_load(ground.rates, recipient_name="", country=country, load=load, today=NOW.date())
            assert one.sums.postage_minor == basket.cost_minor


def test_nothing_set_up_is_one_parcel_an_address():
    ground = PackingGround(
        show=SHOW, editions=EDITIONS, travel={}, mailers=(), left={}, services={}, rates=_rates(0), limit_minor=None,
        anyway=frozenset(),
    )  # fmt: skip
    people = [("A", "DE"), ("A", "DE"), ("B", "FR"), ("C", "US")]
    copies = [
        PrintedCopy(
            key=key, number=key + 1, edition_code="harbour", mass_g=150, name=name, email=f"{name}@example.org",
            address=(("country_code", country),), value_minor=10,
        )
        for key, (name, country) in enumerate(people)
    ]  # fmt: skip
    plan = plan_parcels(ground, copies)
    assert [(one.group.name, len(one.copies), one.sums.mass_g, one.sums.postage_minor) for one in plan.parcels] == [
        ("A", 2, 300, 300), ("B", 1, 150, 300), ("C", 1, 150, None),
    ]  # fmt: skip
    assert plan.refused == ()

"""The sums of an order: they add up, each address has its own postage, by copies, weight and date."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.errors import NoPostage
from campaign.models import Edition, PostageRate, TaxRate
from campaign.queries.basket import LineWish, Tables, price_basket
from campaign.queries.order_sums import sums_of_basket
from campaign.queries.postage import Load, find_postage, rates_in_force
from campaign.queries.taxes import find_tax

TODAY = date(2026, 3, 10)
HOME, ABROAD = {"country_code": "DE", "city": "Bern"}, {"country_code": "FR", "city": "Lyon"}


def rate(zone, countries, charge, *, copies=0, grams=0, since=None):
    return PostageRate(
        zone=zone, countries=countries, up_to_copies=copies, up_to_g=grams, valid_from_on=since, charge_minor=charge,
        cost_minor=charge - 50,
    )  # fmt: skip


RATES = (
    rate("Home", "DE", 490, copies=2),
    rate("Home", "DE", 690, copies=20),
    rate("Near", "FR", 890, grams=300),
    rate("Near", "FR", 1_290, grams=5_000),
)


def tables(*, rates=RATES, taxes=(), prices=(4_500, 1_400), masses=(180, 40)):
    editions = {
        code: Edition(code=code, title=code, price_minor=price, make_cost_minor=420, pack_cost_minor=180, mass_g=mass)
        for code, price, mass in zip(("large", "small"), prices, masses, strict=True)
    }
    return Tables(editions, rates, taxes, TODAY)


LINES = st.lists(
    st.builds(
        LineWish, st.sampled_from(["large", "small"]), st.integers(1, 3), st.sampled_from(["", "Wim"]), st.just({})
    ),
    min_size=1,
    max_size=5,
)


@given(
    lines=LINES, prices=st.tuples(st.integers(1, 10**7), st.integers(1, 10**7)), gift=st.integers(0, 10**6),
    rate_bp=st.integers(0, 9_999), is_added=st.booleans(), covers=st.booleans(), aside=st.integers(0, 9_999),
)  # fmt: skip
def test_prints_postage_tax_and_gift_are_the_total(lines, prices, gift, rate_bp, is_added, covers, aside):
    wishes = [LineWish(w.edition_code, w.copies, w.recipient_name, ABROAD if w.recipient_name else {}) for w in lines]
    tax = TaxRate(pk=1, name="VAT", countries="DE", rate_bp=rate_bp, is_added=is_added, covers_postage=covers)
    basket = price_basket(tables(taxes=[tax], prices=prices), lines=wishes, address=HOME, gift_minor=gift)
    assert basket.total_minor == basket.prints_minor + basket.postage_minor + basket.tax_added_minor + gift
    assert basket.tax_added_minor == (basket.tax_minor if is_added else 0) <= basket.total_minor
    assert basket.tax_minor <= basket.kept_minor(set_aside_bp=aside) <= basket.total_minor
    assert basket.copies == sum(line.copies for line in wishes) == sum(one.load.copies for one in basket.destinations)
    sums = sums_of_basket(basket)
    assert sum(row.minor for row in sums.rows) == sums.total_minor == basket.total_minor


def test_what_goes_to_one_address_is_posted_together():
    lines = [LineWish("large", 1), LineWish("small", 2), LineWish("large", 1, "Wim", ABROAD)]
    basket = price_basket(tables(), lines=lines, address=HOME)
    assert [(one.country, one.load, one.postage_minor) for one in basket.destinations] == [
        ("DE", Load(3, 260), 690),
        ("FR", Load(1, 180), 890),
    ]


def test_weight_decides_where_the_zone_goes_by_weight():
    heavy = price_basket(tables(), lines=[LineWish("large", 2)], address=ABROAD)
    light = price_basket(tables(), lines=[LineWish("small", 2)], address=ABROAD)
    assert (heavy.postage_minor, light.postage_minor) == (1_290, 890)


def test_a_country_or_a_load_without_a_price_is_said():
    with pytest.raises(NoPostage) as caught:
        price_basket(tables(), lines=[LineWish("small", 1)], address={"country_code": "US"})
    assert "for the United States" in caught.value.sentence
    with pytest.raises(NoPostage):
        price_basket(tables(masses=(6_000, 40)), lines=[LineWish("large", 1)], address=ABROAD)


def test_the_newest_price_whose_day_has_come_counts():
    old, new, later = (
        rate("Home", "DE", charge, copies=2, since=since)
        for charge, since in ((490, None), (550, TODAY), (600, date(2026, 3, 11)))
    )
    kept = rate("Home", "DE", 690, copies=5)
    assert rates_in_force([old, new, later, kept], today=TODAY) == [new, kept]
    assert find_postage([old, new, later], country="DE", load=Load(1), today=TODAY) is new
    assert find_postage([old, new, later], country="DE", load=Load(1), today=date(2026, 3, 9)) is old
    assert find_postage([later], country="DE", load=Load(1), today=TODAY) is None


def test_a_named_country_goes_before_everywhere_else():
    named = TaxRate(pk=1, name="VAT", countries="DE FR", rate_bp=700)
    rest = TaxRate(pk=2, name="tax", countries="*", rate_bp=500, is_added=True)
    later = TaxRate(pk=3, name="VAT", countries="DE", rate_bp=1_900, valid_from_on=date(2026, 4, 1))
    ended = TaxRate(pk=4, name="VAT", countries="FR", rate_bp=0, valid_from_on=date(2026, 3, 1))
    found = {
        land: find_tax([named, rest, later, ended], country=land, today=TODAY).rate_bp for land in ("DE", "FR", "US")
    }
    assert found == {"DE": 700, "FR": 0, "US": 500}
    assert find_tax([named, later], country="DE", today=date(2026, 4, 1)).rate_bp == 1_900

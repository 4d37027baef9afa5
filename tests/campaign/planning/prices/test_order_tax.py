"""Tax inside a price and added to one, against exact fractions; what is kept of an order."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning.errors import InvalidRequest
from campaign.planning.prices.order_tax import NO_TAX, TaxTerms, kept_for_tax, tax_on

MINOR = st.integers(0, 10**9)
RATE = st.integers(0, 9_999)


@given(prints=MINOR, postage=MINOR, rate=RATE, covers=st.booleans())
def test_tax_inside_is_the_part_that_the_net_price_lacks(prints, postage, rate, covers):
    terms = TaxTerms("VAT", rate, covers_postage=covers)
    base = prints + (postage if covers else 0)
    exact = base - Fraction(base) / (1 + Fraction(rate, 10_000))
    assert abs(tax_on(terms, prints_minor=prints, postage_minor=postage) - exact) <= Fraction(1, 2)


@given(prints=MINOR, postage=MINOR, rate=RATE, covers=st.booleans())
def test_tax_that_is_added_is_the_rate_of_the_price(prints, postage, rate, covers):
    terms = TaxTerms("sales tax", rate, is_added=True, covers_postage=covers)
    exact = Fraction((prints + (postage if covers else 0)) * rate, 10_000)
    assert abs(tax_on(terms, prints_minor=prints, postage_minor=postage) - exact) <= Fraction(1, 2)


@given(net=st.integers(0, 10**7), rate=RATE)
def test_adding_a_tax_and_finding_it_inside_again_agree(net, rate):
    added = tax_on(TaxTerms("t", rate, is_added=True), prints_minor=net, postage_minor=0)
    assert abs(tax_on(TaxTerms("t", rate), prints_minor=net + added, postage_minor=0) - added) <= 1


@given(total=MINOR, tax_share=st.integers(0, 100), aside=RATE)
def test_what_is_kept_is_the_tax_and_a_share_of_the_rest(total, tax_share, aside):
    tax = total * tax_share // 100
    kept = kept_for_tax(total, tax_minor=tax, set_aside_bp=aside)
    assert tax <= kept <= total
    assert abs(kept - tax - Fraction((total - tax) * aside, 10_000)) <= Fraction(1, 2)


def test_without_a_tax_nothing_is_held():
    assert tax_on(NO_TAX, prints_minor=10_000, postage_minor=500) == 0


def test_figures_that_cannot_be_are_refused():
    with pytest.raises(InvalidRequest):
        TaxTerms("t", -1)
    with pytest.raises(InvalidRequest):
        kept_for_tax(100, tax_minor=101, set_aside_bp=0)
    with pytest.raises(InvalidRequest):
        kept_for_tax(100, tax_minor=-1, set_aside_bp=0)
    with pytest.raises(ValueError, match="set_aside_bp"):
        kept_for_tax(100, tax_minor=0, set_aside_bp=10_000)

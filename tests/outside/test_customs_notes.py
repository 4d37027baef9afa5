"""
Source: Universal Postal Union, forms CN 22 and CN 23, as published by Eswatini Post ("300 SDR or more": CN 23); 2 kg
    after legalclarity.org; the Convention's own wording ("exceeds 300") from memory.
Edition: trade notes §6.2.
What is checked: which form a value asks for, at 299.99, 300.00 and 300.01 SDR; at exactly 300 the stricter reading.
Tolerance: none. The rate of an SDR in the tests is invented: the artist types in the day's.
"""

import pytest

from fulfilment.packing import customs_note, sdr_limit_minor

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(("hundredths_of_sdr", "note"), [(29_999, "CN 22"), (30_000, "CN 23"), (30_001, "CN 23")])
def test_three_hundred_sdr(hundredths_of_sdr, note):
    limit = sdr_limit_minor(minor_per_sdr_milli=100_000)  # a currency of which 100 cents are one SDR
    made = customs_note(
        value_minor=hundredths_of_sdr, limit_minor=limit, mass_g=400, is_letter_post=True, leaves_customs_area=True
    )
    assert made == note


@pytest.mark.parametrize(("mass_g", "note"), [(2_000, "CN 22"), (2_001, "CN 23")])
def test_two_kilograms(mass_g, note):
    made = customs_note(
        value_minor=100, limit_minor=30_000, mass_g=mass_g, is_letter_post=True, leaves_customs_area=True
    )
    assert made == note

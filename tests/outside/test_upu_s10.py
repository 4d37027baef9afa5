"""
Source: Universal Postal Union, standard S10 (identification of postal items, 13-character identifier).
Edition: as given in the public encyclopaedia article "S10 (UPU standard)" and in published function tables of vendors;
    the standard itself was not read.
What is checked: the check digit: weights 8 6 4 2 3 5 9 7, 11 minus the sum modulo 11, 10 becomes 0 and 11 becomes 5.
Tolerance: none; equal digits.
"""

import pytest

from fulfilment.packing import s10_check_digit, tracking_fault

pytestmark = pytest.mark.outside

PUBLISHED = [
    ("47312482", 9),  # encyclopaedia article "S10 (UPU standard)", worked example
    ("47302482", 5),  # vendor's function table: sum 198, remainder 0, so 11 becomes 5
    ("00000123", 5),  # the same table
    ("12345678", 5),  # RR123456785GB, the usual specimen number
]


@pytest.mark.parametrize(("serial", "digit"), PUBLISHED)
def test_published_check_digits_come_out(serial, digit):
    assert s10_check_digit(serial) == digit


@pytest.mark.parametrize(("serial", "digit"), PUBLISHED)
def test_published_numbers_are_taken_and_their_neighbours_refused(serial, digit):
    assert tracking_fault(f"RR{serial}{digit}GB") == ""
    assert "mistyped" in tracking_fault(f"RR{serial}{(digit + 1) % 10}GB")


def test_the_remainder_one_gives_zero():
    # Computed from the rule, not published: 7·8 + … chosen so that the sum leaves remainder 1 (10 becomes 0).
    weighted_sum = 8 * 7
    assert weighted_sum % 11 == 1
    assert s10_check_digit("70000000") == 0

"""
Source: ISO 11649 creditor reference with the check digits of ISO 7064 MOD 97-10; the algorithm from memory, the
    number RF18 5390 0754 7034 is the common example of the standard.
Edition: ISO 11649:2009; read 2026-11-25 in the project's notes on the trade (§4.5).
What is checked: our references carry the right check digits; the sum is computed here a second time by hand.
Tolerance: none.
"""

import pytest

from campaign.references import PaymentDetailError, check_reference, make_reference

pytestmark = pytest.mark.outside


def remainder(reference):
    """ISO 7064 MOD 97-10: first four characters to the end, A = 10 … Z = 35, remainder by 97 (must be 1)."""
    turned = reference[4:] + reference[:4]
    return int("".join(str(int(character, 36)) for character in turned)) % 97


def test_example_of_the_standard_is_valid():
    """ISO 11649, example RF18 5390 0754 7034."""
    assert remainder("RF18539007547034") == 1
    assert check_reference("RF18 5390 0754 7034") == "RF18539007547034"
    assert make_reference("539007547034") == "RF18539007547034"


@pytest.mark.parametrize(("body", "reference"), [("INV202600017", "RF32INV202600017"), ("A1", "RF90A1")])
def test_check_digits_computed_by_the_standard(body, reference):
    """Computed by ISO 7064 MOD 97-10 in the notes §4.5."""
    assert make_reference(body) == reference
    assert remainder(reference) == 1


def test_hundred_references_have_remainder_one():
    """ISO 7064 MOD 97-10."""
    assert {remainder(make_reference(f"W{number:05d}")) for number in range(100)} == {1}


@pytest.mark.parametrize("wrong", ["RF17539007547034", "RF18539007547035", "RF18539007547043"])
def test_wrong_digit_and_swapped_neighbours_are_found(wrong):
    """ISO 7064 MOD 97-10 finds every single substitution of a digit and every swap of neighbours."""
    assert remainder(wrong) != 1
    with pytest.raises(PaymentDetailError):
        check_reference(wrong)

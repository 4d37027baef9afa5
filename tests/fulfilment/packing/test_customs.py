"""Customs notes: who crosses a border, and which form."""

import pytest

from fulfilment.packing import CustomsNote, customs_note, leaves_customs_area


@pytest.mark.parametrize(
    ("start", "end", "postcode", "leaves"),
    [
        ("DE", "DE", "12345", False), ("DE", "FR", "75008", False), ("DE", "GB", "SW1A 2AA", True),
        ("DE", "CH", "8000", True), ("DE", "NO", "0025", True), ("DE", "AX", "22100", True), ("US", "US", "", False),
        ("US", "CA", "", True), ("GB", "GB", "", False), ("FR", "MC", "98000", False), ("ES", "ES", "35001", True),
        ("ES", "ES", "28001", False), ("DE", "FI", "22 100", True), ("DE", "RE", "97400", True),
    ],
)  # fmt: skip
def test_who_crosses_a_customs_border(start, end, postcode, leaves):
    assert leaves_customs_area(from_country=start, to_country=end, to_postcode=postcode) is leaves


@pytest.mark.parametrize(
    ("value", "mass", "letter", "note"),
    [
        (4_200, 400, True, "CN 22"), (4_200, 2_000, True, "CN 22"), (4_200, 2_001, True, "CN 23"),
        (40_000, 400, True, "CN 23"), (4_200, 400, False, "CN 23"),
    ],
)  # fmt: skip
def test_the_form_by_value_weight_and_service(value, mass, letter, note):
    made = customs_note(
        value_minor=value, limit_minor=37_305, mass_g=mass, is_letter_post=letter, leaves_customs_area=True
    )
    assert made == note


def test_within_one_customs_area_there_is_none():
    made = customs_note(value_minor=9, limit_minor=1, mass_g=9, is_letter_post=False, leaves_customs_area=False)
    assert made is CustomsNote.NONE

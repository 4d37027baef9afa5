import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.references import (
    PaymentDetailError,
    check_iban,
    check_reference,
    epc_payload,
    format_iban,
    format_reference,
    make_reference,
)

IBAN = "DE89370400440532013000"
CODES = st.text(alphabet=string.ascii_uppercase + string.digits, min_size=1, max_size=21)


def payload(**changes):
    details = {"name": "Mara Beispiel", "iban": IBAN, "amount_minor": 1250, "reference": "RF90A1"}
    return epc_payload(**(details | changes))


def refusal(call, *args, **kwargs):
    with pytest.raises(PaymentDetailError) as caught:
        call(*args, **kwargs)
    assert str(caught.value).endswith(".")
    return caught.value


@given(CODES)
def test_made_reference_checks_out_however_it_is_typed(code):
    reference = make_reference(code)
    assert check_reference(reference) == reference
    assert check_reference(format_reference(reference).lower()) == reference
    assert reference.endswith(code)


@given(CODES, st.data())
def test_one_wrong_digit_or_letter_is_always_found(code, data):
    reference = make_reference(code)
    place = data.draw(st.integers(2, len(reference) - 1))
    # A letter read as a digit changes the length of the number behind the sum, and one in 97 slips through.
    alphabet = string.digits if reference[place].isdigit() else string.ascii_uppercase
    other = data.draw(st.sampled_from(alphabet).filter(lambda character: character != reference[place]))
    with pytest.raises(PaymentDetailError):
        check_reference(reference[:place] + other + reference[place + 1 :])


def test_spaces_and_hyphens_of_a_code_do_not_count():
    assert make_reference("inv-2026 00017") == make_reference("INV202600017")


@pytest.mark.parametrize("code", ["", "-", "A" * 22, "Ä1", "A_1"])
def test_code_that_makes_no_reference_is_refused(code):
    assert refusal(make_reference, code).field == "reference"


def test_mistyped_reference_is_told_apart_from_something_else():
    assert "mistyped character" in str(refusal(check_reference, "RF17 5390 0754 7034"))
    for text in ("", "RF1", "INV 17", "RF18" + "1" * 22, "RFAB1"):
        assert "is not a payment reference" in str(refusal(check_reference, text))


def test_iban_is_normalised_and_printed_in_fours():
    assert check_iban("gb82 west 1234-5698 7654 32") == "GB82WEST12345698765432"
    assert format_iban(IBAN) == "DE89 3704 0044 0532 0130 00"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is not an IBAN"),
        ("12345678", "is not an IBAN"),
        ("DE88 3704 0044 0532 0130 00", "check digits do not fit"),
        ("US64SVBKUS6S3300958879", "begins with US, a country or bank that has no IBAN"),
        ("DE5137040044053201300", "has not the form of an IBAN of DE"),
    ],
)
def test_refused_iban_says_why(text, why):
    caught = refusal(check_iban, text)
    assert caught.field == "iban"
    assert why in str(caught)


def test_text_may_stand_in_place_of_a_reference():
    assert payload(reference="", text="Two prints").split("\n")[8:] == ["", "", "Two prints"]


def test_line_ends_in_a_name_cannot_shift_the_lines_below():
    lines = payload(name="Mara\nBeispiel\r\x00 Studio\u200b").split("\n")
    assert lines[5:7] == ["Mara Beispiel Studio", IBAN]


def test_bic_is_checked_and_printed_where_given():
    assert payload(bic="cobadeffxxx").split("\n")[4] == "COBADEFFXXX"
    assert payload(bic=" ").split("\n")[4] == ""


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"currency": "CHF"}, "amount"),
        ({"amount_minor": 0}, "amount"),
        ({"amount_minor": 100_000_000_000}, "amount"),
        ({"iban": "DE00370400440532013000"}, "iban"),
        ({"name": " "}, "name"),
        ({"name": "n" * 71}, "name"),
        ({"reference": ""}, "text"),
        ({"text": "both"}, "text"),
        ({"reference": "", "text": "t" * 141}, "text"),
        ({"reference": "RF00A1"}, "reference"),
        ({"bic": "NOTABIC"}, "bic"),
        ({"name": "Ł" * 70, "reference": "", "text": "Ł" * 120}, "text"),
    ],
)
def test_detail_a_bank_would_not_take_is_refused_by_field(changes, field):
    assert refusal(payload, **changes).field == field


@given(st.text(max_size=60))
def test_any_text_is_a_reference_an_iban_or_refused(text):
    for check in (check_reference, check_iban, make_reference):
        try:
            assert check(text).isalnum()
        except PaymentDetailError as caught:
            assert str(caught).endswith(".")

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fulfilment.packing import is_s10_shaped, s10_check_digit, tidy_tracking_number, tracking_fault

serials = st.text("0123456789", min_size=8, max_size=8)


def test_spaces_and_small_letters_are_tidied():
    assert tidy_tracking_number(" rr 4731\t2482 9 gb ") == "RR473124829GB"


@given(serials)
def test_a_number_with_its_check_digit_has_no_fault(serial):
    number = f"RR{serial}{s10_check_digit(serial)}DE"
    assert is_s10_shaped(number)
    assert tracking_fault(number) == ""


@given(serials, st.integers(0, 9))
def test_any_other_check_digit_is_a_fault(serial, digit):
    assert bool(tracking_fault(f"RR{serial}{digit}DE")) is (digit != s10_check_digit(serial))


def test_swapped_neighbours_are_noticed():
    assert "mistyped" in tracking_fault("RR413724829GB")


@pytest.mark.parametrize("number", ["", "JJD000390007123456", "1Z-77/81.4", "RR47312482GB"])
def test_other_forms_are_taken_as_they_are(number):
    assert tracking_fault(number) == ""


@pytest.mark.parametrize(
    ("number", "sentence"),
    [
        ("A" * 41, "A tracking number has at most 40 characters; this one has 41."),
        ("<B>", "<B> has a character that no tracking number has; letters and digits are expected."),
    ],
)
def test_what_no_carrier_prints_is_refused(number, sentence):
    assert tracking_fault(number) == sentence


@pytest.mark.parametrize("serial", ["1234567", "123456789"])
def test_a_serial_number_has_eight_digits(serial):
    with pytest.raises(ValueError, match="eight digits"):
        s10_check_digit(serial)

"""Tracking numbers: the international S10 form has a check digit, other forms are kept as typed."""

import re
from collections.abc import Sequence

WEIGHTS = (8, 6, 4, 2, 3, 5, 9, 7)
LONGEST = 40
_SHAPE = re.compile(r"[A-Z]{2}(?P<serial>\d{8})(?P<check>\d)[A-Z]{2}")


def s10_check_digit(serial: Sequence[int] | str) -> int:
    """
    The check digit of an S10 serial number.

    Parameters: serial, eight digits.
    Raises: ValueError for anything else.
    Source: Universal Postal Union, standard S10; checked in tests/outside/test_upu_s10.py.

    >>> s10_check_digit("47312482")
    9
    """
    digits = [int(digit) for digit in serial]
    if len(digits) != len(WEIGHTS):
        raise ValueError(f"an S10 serial number has eight digits, not {len(digits)}")
    check = 11 - sum(weight * digit for weight, digit in zip(WEIGHTS, digits, strict=True)) % 11
    return {10: 0, 11: 5}.get(check, check)


def tidy_tracking_number(text: str) -> str:
    """
    A tracking number in capitals and without spaces, as it stands on the receipt.

    >>> tidy_tracking_number(" rr 4731 2482 9 gb")
    'RR473124829GB'
    """
    return "".join(text.split()).upper()


def is_s10_shaped(number: str) -> bool:
    """Whether a tidied number has the thirteen characters of the S10 form."""
    return _SHAPE.fullmatch(number) is not None


def tracking_fault(number: str) -> str:
    """
    One sentence on what is wrong with a tidied tracking number, empty if nothing is known to be.

    >>> tracking_fault("RR473124828GB")
    'RR473124828GB has a mistyped character: its check digit does not fit; compare it with the receipt.'
    """
    if len(number) > LONGEST:
        return f"A tracking number has at most {LONGEST} characters; this one has {len(number)}."
    if not re.fullmatch(r"[A-Z0-9./-]*", number):
        return f"{number} has a character that no tracking number has; letters and digits are expected."
    match = _SHAPE.fullmatch(number)
    if match and s10_check_digit(match["serial"]) != int(match["check"]):
        return f"{number} has a mistyped character: its check digit does not fit; compare it with the receipt."
    return ""

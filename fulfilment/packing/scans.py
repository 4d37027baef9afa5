"""What a bar-code reader or a person types at the packing station, as one spelling."""

import re

_PAGE = re.compile(r".*/COPY/(?P<code>[A-Z0-9]+)/?")
_NUMBER = re.compile(r"[#№]?0*(?P<number>\d{1,6})")


def tidy_scan(text: str) -> str:
    """
    A scan in capitals, without spaces and without the keys that some readers send around it.

    Of the address of a certificate's page, which its QR code holds, the certificate's code.

    >>> tidy_scan(" ab3 k7\\r"), tidy_scan("harbour 12 / 80"), tidy_scan("https://wallful.example/copy/ab3k7/")
    ('AB3K7', 'HARBOUR12/80', 'AB3K7')
    """
    tidy = "".join(part for part in text.split() if part.isprintable()).upper()
    page = _PAGE.fullmatch(tidy)
    return page["code"] if page else tidy


def copy_spellings(*, number: int, size: int, edition_code: str, codes: tuple[str, ...] = ()) -> tuple[str, ...]:
    """
    Every tidied scan by which a copy is confirmed: its number, of how many, after the print's name, its certificate.

    >>> copy_spellings(number=7, size=80, edition_code="harbour")
    ('7', '7/80', 'HARBOUR7', 'HARBOUR7/80')
    """
    plain = (str(number), f"{number}/{size}")
    named = tuple(f"{tidy_scan(edition_code)}{spelling}" for spelling in plain)
    return (*plain, *named, *(tidy_scan(code) for code in codes))


def parcel_number(scan: str) -> int | None:
    """
    The running number of a parcel in a tidied scan: what is typed where the bar code cannot be read.

    >>> parcel_number("007"), parcel_number("#7"), parcel_number("AB3K7")
    (7, 7, None)
    """
    found = _NUMBER.fullmatch(scan)
    return int(found["number"]) if found else None

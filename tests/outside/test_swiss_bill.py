"""
Source: SIX, Swiss Payment Standards, Swiss Implementation Guidelines for the QR-bill (version 2): the example data of
    the guidelines (CH58 0079 1123 0008 8901 2, Max Muster & Söhne, CHF 199.95, SCOR RF18 5390 0754 7034), seen as
    quoted in public repositories; the guidelines' own text was not read. Rules of length and order from memory.
Edition: version 2.2/2.3; noted 2026-11-26.
What is checked: the lines of the payload, also read back from the drawing at 300 dpi; what is refused.
Tolerance: none; the width of the code 0.5 mm.
"""

import io

import pypdfium2
import pytest
import zxingcpp

from campaign.references import PaymentDetailError
from campaign.swiss_bill import Payee, fits, make_bill, payee_of

pytestmark = pytest.mark.outside

PAYEE = Payee("Max Muster & Söhne", "Musterstrasse 123", "8000", "Seldwyla", "CH")
BILL = {
    "payee": PAYEE, "iban": "CH58 0079 1123 0008 8901 2", "amount_minor": 19_995, "currency": "CHF",
    "reference": "RF18 5390 0754 7034",
}  # fmt: skip
# The example has street and number apart (S, Musterstrasse, 123); both in the street's line are allowed as well.
LINES = [
    "SPC", "0200", "1", "CH5800791123000889012", "S", "Max Muster & Söhne", "Musterstrasse 123", "", "8000", "Seldwyla",
    "CH", *[""] * 7, "199.95", "CHF", *[""] * 7, "SCOR", "RF18539007547034", "", "EPD",
]  # fmt: skip


def test_lines_are_those_of_the_example():
    """Data scheme: 31 lines up to EPD, ended by carriage return and line feed."""
    lines = make_bill(**BILL).payload.split("\r\n")
    assert lines == LINES and len(lines) == 31


@pytest.mark.parametrize(
    ("iban", "currency", "does_fit"),
    [
        ("CH5800791123000889012", "CHF", True), ("CH5800791123000889012", "EUR", True),
        ("LI21088100002324013AA", "CHF", True), ("CH5800791123000889012", "USD", False),
        ("DE89370400440532013000", "EUR", False),
        ("CH4431999123000889012", "CHF", False),  # QR-IBAN: institution 30000 to 31999, takes no SCOR
    ],
)  # fmt: skip
def test_accounts_and_currencies(iban, currency, does_fit):
    """IBAN of CH or LI, CHF or EUR; a QR-IBAN goes with another kind of reference."""
    assert fits(iban=iban, currency=currency) is does_fit
    if does_fit:
        assert make_bill(**BILL | {"iban": iban, "currency": currency}).payload.split("\r\n")[19] == currency
    else:
        with pytest.raises(PaymentDetailError):
            make_bill(**BILL | {"iban": iban, "currency": currency})


@pytest.mark.parametrize(
    "changes",
    [
        {"amount_minor": 0}, {"amount_minor": 100_000_000_000}, {"reference": "RF18539007547035"},
        {"payee": Payee("n" * 71, "", "8000", "Seldwyla", "CH")}, {"payee": Payee("n", "", "", "Seldwyla", "CH")},
        {"payee": Payee("n", "s" * 71, "8000", "Seldwyla", "CH")},
    ],
    ids=str,
)  # fmt: skip
def test_beyond_the_limits_nothing_is_made(changes):
    """0.01 to 999 999 999.99; name and street 70 characters; postcode and place must be there."""
    with pytest.raises(PaymentDetailError):
        make_bill(**BILL | changes)


@pytest.mark.parametrize(
    ("lines", "place"),
    [
        ("Ada\nMusterweg 12\n8000 Zürich", ("Musterweg 12", "8000", "Zürich", "CH")),
        ("Ada\nMusterweg 12\nCH-8000 Zürich\nSwitzerland", ("Musterweg 12", "8000", "Zürich", "CH")),
        ("Ada\n9490 Vaduz", ("", "9490", "Vaduz", "LI")),
        ("Ada\nBeispielgasse 3\n10115 Berlin\nGermany", ("Beispielgasse 3", "10115", "Berlin", "DE")),
    ],
)
def test_address_is_taken_apart(lines, place):
    """The structured address (S) is the only kind from November 2025 on."""
    payee = payee_of(lines, name="Ada")
    assert (payee.street, payee.postal_code, payee.city, payee.country_code) == place


def test_drawing_reads_back():
    """The code is 46 mm wide and carries the payload unchanged, under the cross in its middle."""
    bill = make_bill(**BILL)
    pdf = _pdf_of(bill.svg)
    image = pypdfium2.PdfDocument(io.BytesIO(pdf))[0].render(scale=300 / 72).to_pil()
    (found,) = zxingcpp.read_barcodes(image)
    assert found.text.split("\r\n") == LINES and found.ec_level == "M"
    corners = found.position
    assert (corners.top_right.x - corners.top_left.x) / 300 * 25.4 == pytest.approx(46, abs=0.5)


def _pdf_of(svg):
    from weasyprint import HTML

    return HTML(string=f"<style>@page {{ size: 210mm 106mm; margin: 0 }}</style>{svg.decode()}").write_pdf()

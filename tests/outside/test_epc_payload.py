"""
Source: European Payments Council, EPC069-12, Quick Response Code: guidelines to enable the data capture for the
    initiation of a SEPA credit transfer; from memory, not read for this file. IBAN examples: ISO 13616 registry,
    from memory.
Edition: EPC069-12 version 2.1 (2012), payload version 002; noted 2026-11-25.
What is checked: order and form of the lines, limits of the fields, and the payload read back from the picture.
Tolerance: none.
"""

import io

import pytest
import zxingcpp
from PIL import Image

from campaign.references import PaymentDetailError, check_iban, epc_payload
from campaign.symbols import epc_qr_png

pytestmark = pytest.mark.outside

DETAILS = {
    "name": "Müller & Łódź Studio",
    "iban": "DE89 3704 0044 0532 0130 00",
    "amount_minor": 1250,
    "reference": "RF18 5390 0754 7034",
}
LINES = [
    "BCD",  # service tag
    "002",  # version: BIC may be missing
    "1",  # character set UTF-8
    "SCT",  # SEPA credit transfer
    "",  # BIC
    "Müller & Łódź Studio",
    "DE89370400440532013000",
    "EUR12.50",
    "",  # purpose
    "RF18539007547034",  # structured remittance; the last filled line ends the payload
]


def test_lines_stand_in_the_order_of_the_guideline():
    """EPC069-12, data elements AT-…; from memory."""
    assert epc_payload(**DETAILS).split("\n") == LINES


def test_picture_reads_back_the_payload_in_utf8_at_level_m():
    """EPC069-12: error correction level M, at most version 13; from memory."""
    symbol = epc_qr_png(**DETAILS)
    image = Image.open(io.BytesIO(symbol.png))
    found = zxingcpp.read_barcode(image.resize((image.width * 4, image.height * 4), Image.Resampling.NEAREST))
    assert found.text.split("\n") == LINES
    assert bytes(found.bytes) == "\n".join(LINES).encode()
    assert found.ec_level == "M"
    assert symbol.width_modules <= 17 + 4 * 13 + 8


@pytest.mark.parametrize(("amount_minor", "line"), [(1, "EUR0.01"), (99_999_999_999, "EUR999999999.99")])
def test_least_and_largest_amount(amount_minor, line):
    """EPC069-12: 0.01 to 999999999.99; from memory."""
    assert epc_payload(**DETAILS | {"amount_minor": amount_minor}).split("\n")[7] == line


@pytest.mark.parametrize(
    "changes",
    [
        {"amount_minor": 0},
        {"amount_minor": 100_000_000_000},
        {"currency": "USD"},
        {"name": "n" * 71},
        {"reference": "", "text": "t" * 141},
        {"text": "a text beside the reference"},
    ],
    ids=str,
)
def test_beyond_the_limits_of_the_guideline_nothing_is_made(changes):
    """EPC069-12: name 70, text 140 characters, one kind of remittance, EUR only; from memory."""
    with pytest.raises(PaymentDetailError):
        epc_payload(**DETAILS | changes)


@pytest.mark.parametrize(
    "iban",
    [
        *("DE89370400440532013000", "GB82WEST12345698765432", "FR1420041010050500013M02606", "NL91ABNA0417164300"),
        *("AT611904300234573201", "CH9300762011623852957", "ES9121000418450200051332", "NO9386011117947"),
    ],
)
def test_account_numbers_of_the_registry_are_taken_and_changed_ones_are_not(iban):
    """ISO 13616 registry, examples of the countries; from memory. One digit more in the check is refused."""
    assert check_iban(iban) == iban
    changed = iban[:3] + str((int(iban[3]) + 1) % 10) + iban[4:]
    with pytest.raises(PaymentDetailError):
        check_iban(changed)

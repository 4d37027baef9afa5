"""
Source: QR code, ISO/IEC 18004: sizes of the versions, byte capacity, quiet zone, level M; from memory.
Edition: ISO/IEC 18004:2015; read 2026-11-25 in the project's notes on the trade (§6.4).
What is checked: size of our pictures by the length of the text, and that a second reader gets the same bytes.
Tolerance: none, whole modules.
"""

import io

import pytest
import zxingcpp
from PIL import Image

from campaign.symbols import qr_png

pytestmark = pytest.mark.outside

BYTES_AT_LEVEL_M = {1: 14, 2: 26, 3: 42, 4: 62, 5: 84}


@pytest.mark.parametrize(("version", "capacity"), BYTES_AT_LEVEL_M.items())
def test_text_of_full_capacity_fits_its_version_and_one_more_byte_does_not(version, capacity):
    """ISO/IEC 18004 table 7, byte mode at level M; side 17 + 4 × version, quiet zone 4."""
    full = "a" * capacity
    assert qr_png(full).width_modules == qr_png(full).height_modules == 17 + 4 * version + 8
    assert qr_png(full + "a").width_modules == 17 + 4 * (version + 1) + 8


@pytest.mark.parametrize("text", ["Łódź", "Grüße aus Åland", "plain"])
def test_bytes_in_the_code_are_utf8(text):
    """ISO/IEC 18004 §7.3.2, ECI 26 names UTF-8; a picture of three pixels a module is read back."""
    symbol = qr_png(text)
    image = Image.open(io.BytesIO(symbol.png))
    found = zxingcpp.read_barcode(image.resize((image.width * 3, image.height * 3), Image.Resampling.NEAREST))
    assert (found.text, bytes(found.bytes), found.ec_level) == (text, text.encode(), "M")

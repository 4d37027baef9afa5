"""Pictures of codes, one pixel a module; pages and papers enlarge them with `image-rendering: pixelated`."""

import io
import re
from dataclasses import dataclass

import zxingcpp
from PIL import Image

from campaign.references import epc_payload

QR_QUIET_MODULES = 4
CODE128_QUIET_MODULES = 10
LONGEST_CODE128 = 48
# The transfer code must not be larger than version 13.
LARGEST_EPC_MODULES = 17 + 4 * 13 + 2 * QR_QUIET_MODULES


class SymbolError(ValueError):
    """Text that the code asked for cannot carry; the message is one plain sentence."""


@dataclass(frozen=True, slots=True)
class Symbol:
    """A code as 8-bit grey PNG; both sizes are in modules, which are pixels, with the quiet zone."""

    png: bytes
    width_modules: int
    height_modules: int


def qr_png(text: str) -> Symbol:
    """
    A QR code of error level M with its quiet zone of 4 modules.

    Returns: a picture that reads back as exactly `text`; bytes are UTF-8.
    Raises: SymbolError if the text is empty or too long for the largest code.
    Source: ISO/IEC 18004, drawn by zxing-cpp; decoded again in tests/outside/test_iso18004_qr.py.
    """
    # Left to itself the writer takes ISO-8859-2 for "Łódź"; a reader that expects UTF-8 shows "£ód¼".
    # Plain ASCII goes without the marker, so that the simplest readers understand it.
    options = {} if text.isascii() else {"eci": "UTF-8"}
    try:
        barcode = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level="M", **options)
    except ValueError:
        raise SymbolError(f"A QR code cannot hold this text of {len(text)} characters; shorten it.") from None
    return _picture(barcode)


def epc_qr_png(
    *,
    name: str,
    iban: str,
    amount_minor: int,
    currency: str = "EUR",
    reference: str = "",
    text: str = "",
    bic: str = "",
) -> Symbol:
    """
    The credit-transfer QR code of a payment; parameters as in `campaign.references.epc_payload`.

    Returns: a code of at most version 13 (69 modules and the quiet zone).
    Raises: PaymentDetailError for a detail a bank would not take.
    Source: EPC069-12 (UTF-8, error level M, at most version 13), from memory.
    """
    payload = epc_payload(
        name=name,
        iban=iban,
        amount_minor=amount_minor,
        currency=currency,
        reference=reference,
        text=text,
        bic=bic,
    )
    symbol = qr_png(payload)
    # 331 bytes fill version 13 at level M; the digits of the account number, packed tighter than bytes, make
    # room for the UTF-8 marker.
    assert symbol.width_modules <= LARGEST_EPC_MODULES
    return symbol


def code128_png(text: str) -> Symbol:
    """
    A Code 128 bar code with 10 modules of quiet zone at either side, 50 modules high.

    Parameters: text, 1 to 48 printable ASCII characters.
    Raises: SymbolError for any other text.
    Source: ISO/IEC 15417, drawn by zxing-cpp; checked in tests/outside/test_code128.py.
    """
    if not re.fullmatch(rf"[ -~]{{1,{LONGEST_CODE128}}}", text):
        raise SymbolError(f"A bar code holds 1 to {LONGEST_CODE128} plain letters, digits and signs.")
    return _picture(zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.Code128))


def _picture(barcode: zxingcpp.Barcode) -> Symbol:
    picture = Image.fromarray(barcode.to_image(scale=1, add_quiet_zones=True))
    file = io.BytesIO()
    picture.save(file, "PNG", optimize=True)
    return Symbol(png=file.getvalue(), width_modules=picture.width, height_modules=picture.height)

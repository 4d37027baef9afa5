"""The Swiss QR bill: payment part and receipt of an account in Switzerland or Liechtenstein; the one door to qrbill."""

import io
import re
from dataclasses import dataclass
from typing import Any

from qrbill.bill import QRBill, mm

from campaign.references import PaymentDetailError, check_iban, check_reference

CURRENCIES = ("CHF", "EUR")
COUNTRIES = ("CH", "LI")
LANGUAGES = ("en", "de", "fr", "it")
LARGEST_MINOR = 99_999_999_999


@dataclass(frozen=True, slots=True)
class Payee:
    """Owner of the account, with the parts of the address that the code needs apart."""

    name: str
    street: str
    postal_code: str
    city: str
    country_code: str


@dataclass(frozen=True, slots=True)
class SwissBill:
    """A bill ready to be shown: its code's text, the drawing of receipt and payment part (210 × 106 mm), the code."""

    payload: str
    svg: bytes
    code_svg: bytes
    payee: Payee


class _Bill(QRBill):  # type: ignore[misc]  # the library has no types
    """The library's bill with the receipt's empty field at 52 × 20 mm, as the guidelines have it, not 25 mm high."""

    def draw_blank_rect(self, dwg: Any, grp: Any, x: Any, y: Any, width: Any, height: Any) -> None:
        is_receipt = width == mm(52)
        super().draw_blank_rect(dwg, grp, x, y, width, mm(20) if is_receipt else height)


def fits(*, iban: str, currency: str) -> bool:
    """True for a Swiss or Liechtenstein account and CHF or EUR; not for an account of bills only (QR-IBAN)."""
    compact = iban.replace(" ", "").upper()
    is_bill_account = compact[4:9].isdigit() and 30_000 <= int(compact[4:9]) <= 31_999
    return compact[:2] in COUNTRIES and currency in CURRENCIES and not is_bill_account


def make_bill(
    *, payee: Payee, iban: str, amount_minor: int, currency: str, reference: str, text: str = "", language: str = "en"
) -> SwissBill:
    """
    The bill over `amount_minor` with our structured reference (type SCOR).

    Parameters: language of the headings, one of en, de, fr, it (any other: en); text, what the payer reads, up to 140
        characters.
    Raises: PaymentDetailError for an account, currency, amount, name or address that the bill cannot carry.
    Source: Swiss Implementation Guidelines for the QR-bill, version 2; checked in tests/outside/test_swiss_bill.py.
    """
    account = check_iban(iban)
    if not fits(iban=account, currency=currency):
        message = "A Swiss bill needs an account in Switzerland or Liechtenstein, and CHF or EUR."
        raise PaymentDetailError(message, field="iban")
    if not 1 <= amount_minor <= LARGEST_MINOR:
        raise PaymentDetailError("A Swiss bill can ask for 0.01 to 999999999.99.", field="amount")
    creditor = {
        "name": payee.name, "street": payee.street, "pcode": payee.postal_code, "city": payee.city,
        "country": payee.country_code,
    }  # fmt: skip
    try:
        bill = _Bill(
            account=account, creditor=creditor, amount=f"{amount_minor // 100}.{amount_minor % 100:02d}",
            currency=currency, reference_number=check_reference(reference), additional_information=text[:140],
            language=language if language in LANGUAGES else "en",
        )  # fmt: skip
    except ValueError as fault:
        raise PaymentDetailError(f"{fault}.".replace("..", "."), field="name") from fault
    drawing = io.StringIO()
    bill.as_svg(drawing)
    # A page may hold no style of its own; the only ones are these, on drawn paths.
    svg = re.sub(r' style="fill:#000000;[^"]*"', ' fill="#000000"', drawing.getvalue())
    svg = svg.replace('font-family="Arial,Helvetica"', 'font-family="Liberation Sans,Arial,Helvetica,Noto Sans"')
    return SwissBill(payload=bill.qr_data(), svg=svg.encode(), code_svg=_code_of(svg).encode(), payee=payee)


# Where the library puts the code and the quiet zone round it: left, top and side, mm on the bill.
_CODE_MM = (63.2, 13.4, 53.4)
_UNITS_PER_MM = 3.543307


def _code_of(svg: str) -> str:
    """The same drawing, seen through a window that shows nothing but the code and its quiet zone."""
    left, top, side = (round(value * _UNITS_PER_MM, 2) for value in _CODE_MM)
    window = f'viewBox="{left} {top} {side} {side}"'
    cut = re.sub(r'viewBox="[^"]*"', window, svg, count=1)
    return re.sub(r'(height|width)="\d+mm"', lambda found: f'{found[1]}="54mm"', cut, count=2)


def payee_of(lines: str, *, name: str) -> Payee:
    """
    Street, postcode and place out of an address as it is written: a line with the postcode is looked for.

    Parameters: lines, name and address, a line each, as the post of Switzerland or its neighbours wants them.
    Raises: PaymentDetailError if no line begins with a postcode.

    >>> payee_of("Ada\\nMusterweg 12\\n8000 Zürich\\nSwitzerland", name="Ada").city
    'Zürich'
    """
    plain = [" ".join(line.split()) for line in lines.splitlines() if line.strip()]
    for place, line in enumerate(plain):
        found = re.fullmatch(r"(?:(CH|LI|DE|AT|FR|IT)[- ])?(\d{4,5}) (.+)", line, re.IGNORECASE)
        if found:
            street = plain[place - 1] if place > 0 and plain[place - 1] != name else ""
            country = _country(found[1], postal_code=found[2], rest=plain[place + 1 :])
            return Payee(name=name, street=street, postal_code=found[2], city=found[3][:35], country_code=country)
    message = "A Swiss bill needs the sender's postcode and place, such as “8000 Zürich”; fill in the studio's sender."
    raise PaymentDetailError(message, field="name")


_COUNTRIES = {
    "liechtenstein": "LI", "germany": "DE", "deutschland": "DE", "austria": "AT", "österreich": "AT", "france": "FR",
    "italy": "IT", "italia": "IT",
}  # fmt: skip


def _country(code: str | None, *, postal_code: str, rest: list[str]) -> str:
    if code:
        return code.upper()
    named = next((found for line in rest if (found := _COUNTRIES.get(line.casefold()))), "")
    # The postcodes 9485 to 9498 are Liechtenstein's, within the Swiss numbers.
    return named or ("LI" if postal_code.isdigit() and 9485 <= int(postal_code) <= 9498 else "CH")

"""Payment references, account numbers and the text of a credit-transfer code; nothing is drawn here."""

import re
import unicodedata

from stdnum import bic, iban, iso11649
from stdnum.exceptions import InvalidChecksum, InvalidComponent, ValidationError
from stdnum.iso7064 import mod_97_10

LONGEST_REFERENCE_BODY = 21
LONGEST_PAYEE = 70
LONGEST_REMITTANCE = 140
LARGEST_TRANSFER_MINOR = 99_999_999_999
LARGEST_PAYLOAD_BYTES = 331


class PaymentDetailError(ValueError):
    """
    A reference, account number or transfer that a bank would not take.

    Attributes: field, one of "reference", "iban", "bic", "name", "amount", "text"; the message is one plain
        sentence that may be shown to the person who typed it.
    """

    def __init__(self, message: str, *, field: str) -> None:
        self.field = field
        super().__init__(message)


def make_reference(code: str) -> str:
    """
    Make the structured creditor reference of a code: RF, two check digits, the code.

    Parameters: code, 1 to 21 letters A–Z and digits once spaces and hyphens are taken out.
    Raises: PaymentDetailError if nothing, too much or another character remains.
    Source: ISO 11649; checked in tests/outside/test_iso11649_references.py.

    >>> make_reference("A1")
    'RF90A1'
    """
    body = re.sub(r"[\s-]", "", code).upper()
    if not re.fullmatch(rf"[0-9A-Z]{{1,{LONGEST_REFERENCE_BODY}}}", body):
        message = (
            f"A payment reference is made from 1 to {LONGEST_REFERENCE_BODY} letters and digits, not “{code[:40]}”."
        )
        raise PaymentDetailError(message, field="reference")
    return f"RF{mod_97_10.calc_check_digits(body + 'RF')}{body}"


def check_reference(text: str) -> str:
    """
    A creditor reference as typed or printed on a statement, without spaces and in capitals.

    Raises: PaymentDetailError if it is none or its check digits do not fit.

    >>> check_reference("rf18 5390 0754 7034")
    'RF18539007547034'
    """
    compact = re.sub(r"[\s.,/:-]", "", text).upper()
    shown = f"“{text[:40]}”"
    if not re.fullmatch(rf"RF\d\d[0-9A-Z]{{1,{LONGEST_REFERENCE_BODY}}}", compact):
        message = f"{shown} is not a payment reference; it begins with RF and two digits, like RF18 5390 0754 7034."
        raise PaymentDetailError(message, field="reference")
    try:
        return str(iso11649.validate(compact))
    except InvalidChecksum:
        message = f"{shown} has a mistyped character: its check digits do not fit; compare it with the order."
        raise PaymentDetailError(message, field="reference") from None


def format_reference(reference: str) -> str:
    """In groups of four, as it is printed and read aloud: RF18 5390 0754 7034."""
    return str(iso11649.format(reference))


def check_iban(text: str) -> str:
    """
    An account number (IBAN) without spaces and in capitals.

    Raises: PaymentDetailError if the check digits do not fit, the country has no IBAN, or its length or
        national check digits are wrong.
    Source: ISO 13616 with ISO 7064 MOD 97-10, through python-stdnum; checked in
        tests/outside/test_epc_payload.py.

    >>> check_iban("de89 3704 0044 0532 0130 00")
    'DE89370400440532013000'
    """
    shown = f"“{text[:40]}”"
    compact = re.sub(r"[\s.-]", "", text).upper()
    if not re.fullmatch(r"[A-Z]{2}\d\d[0-9A-Z]{1,30}", compact):
        message = (
            f"{shown} is not an IBAN; it begins with two letters and two digits, like DE89 3704 0044 0532 0130 00."
        )
        raise PaymentDetailError(message, field="iban")
    try:
        return str(iban.validate(compact))
    except InvalidChecksum:
        why = "has a mistyped or missing character: its check digits do not fit; copy it from a bank statement."
    except InvalidComponent:
        why = f"begins with {compact[:2]}, a country or bank that has no IBAN; copy it from a bank statement."
    except ValidationError:
        why = f"has not the form of an IBAN of {compact[:2]}; copy it from a bank statement."
    raise PaymentDetailError(f"{shown} {why}", field="iban")


def format_iban(text: str) -> str:
    """In groups of four, as it is printed: DE89 3704 0044 0532 0130 00."""
    return str(iban.format(text))


def _one_line(text: str, *, field: str, longest: int) -> str:
    """Without line ends, which would shift every later line of the payload, and within the allowed length."""
    plain = " ".join("".join(c for c in text if unicodedata.category(c)[0] != "C" or c.isspace()).split())
    if len(plain) > longest:
        message = f"A transfer code holds at most {longest} characters of {field}; “{plain[:20]}…” has {len(plain)}."
        raise PaymentDetailError(message, field=field)
    return plain


def epc_payload(
    *,
    name: str,
    iban: str,
    amount_minor: int,
    currency: str = "EUR",
    reference: str = "",
    text: str = "",
    bic: str = "",
) -> str:
    """
    The text of a credit-transfer code: a banking app reads it and fills in the transfer.

    Parameters: name of the account's owner, up to 70 characters; iban, checked before anything is made;
        amount_minor, cents, 1 to 99 999 999 999; reference (ISO 11649) or text of up to 140 characters,
        not both; bic, only where the payee's bank asks for it.
    Returns: lines joined by a line feed, to be encoded as UTF-8 (character set 1), at most 331 bytes.
    Raises: PaymentDetailError naming the field; another currency than EUR is refused, the scheme has none.
    Source: EPC069-12 version 002, from memory; checked in tests/outside/test_epc_payload.py.
    """
    if currency != "EUR":
        raise PaymentDetailError(f"A transfer code can only ask for EUR, not {currency}.", field="amount")
    account = check_iban(iban)
    if not 1 <= amount_minor <= LARGEST_TRANSFER_MINOR:
        raise PaymentDetailError("A transfer code can ask for 0.01 to 999999999.99 EUR.", field="amount")
    owner = _one_line(name, field="name", longest=LONGEST_PAYEE)
    if not owner:
        raise PaymentDetailError("A transfer code needs the name of the account's owner.", field="name")
    remittance = _one_line(text, field="text", longest=LONGEST_REMITTANCE)
    if bool(reference) == bool(remittance):
        raise PaymentDetailError("A transfer code needs either a reference or a text, not both.", field="text")
    structured = check_reference(reference) if reference else ""
    amount = f"EUR{amount_minor // 100}.{amount_minor % 100:02d}"
    lines = ["BCD", "002", "1", "SCT", _checked_bic(bic), owner, account, amount, "", structured, remittance]
    payload = "\n".join(lines).rstrip("\n")
    if len(payload.encode()) > LARGEST_PAYLOAD_BYTES:
        message = f"A transfer code holds at most {LARGEST_PAYLOAD_BYTES} bytes; shorten the name or the text."
        raise PaymentDetailError(message, field="text")
    return payload


def _checked_bic(text: str) -> str:
    if not text.strip():
        return ""
    try:
        return str(bic.validate(text))
    except ValidationError:
        message = f"“{text[:40]}” is not a BIC; it has 8 or 11 letters and digits, like COBADEFFXXX."
        raise PaymentDetailError(message, field="bic") from None

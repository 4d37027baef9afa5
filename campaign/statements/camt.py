"""
CAMT.053, the bank-to-customer statement of ISO 20022, in the versions 02, 04 and 08.

Read by local names, so that any version of the message that keeps them is read. Entities and document types are
refused, nothing is fetched.
"""

import re
from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal, InvalidOperation
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from campaign.measures.errors import MeasureError
from campaign.measures.money import LARGEST_MINOR, currency_digits
from campaign.references import PaymentDetailError, check_iban
from campaign.statements.lines import (
    Movement,
    Statement,
    StatementRefused,
    check_count,
    check_size,
    is_plausible,
    tidy,
)

OPENING, CLOSING = ("OPBD", "PRCD"), ("CLBD",)
NOTHING = ("NOTPROVIDED", "NONREF", "NOT PROVIDED")


def read_camt(data: bytes) -> Statement:
    """
    The booked movements of a CAMT.053 file, several statements one after the other.

    An entry that is made of several transactions whose sums add up to it becomes one movement each. Where the
    statement has opening and closing balance, the entries between them must add up.
    Raises: StatementRefused, naming the entry.
    Source: ISO 20022 camt.053.001.02, .04, .08; element names checked in tests/outside/test_camt053.py.
    """
    check_size(data)
    root = _parsed(data)
    message = root if _name(root) == "BkToCstmrStmt" else _child(root, "BkToCstmrStmt")
    if message is None:
        raise StatementRefused(
            f"This is XML, but no statement (CAMT.053): it holds “{_first_name(root)}”. "
            "Choose the statement of booked movements in the bank's list of files."
        )
    movements: list[Movement] = []
    ibans: list[str] = []
    passed = 0
    for number, statement in enumerate(_children(message, "Stmt"), start=1):
        entries = list(_children(statement, "Ntry"))
        check_count(len(movements) + len(entries))
        booked = [
            (f"statement {number}, entry {place}", one) for place, one in enumerate(entries, 1) if _is_booked(one)
        ]
        passed += len(entries) - len(booked)
        read = [movement for place, entry in booked for movement in _movements(entry, place=place)]
        check_count(len(movements) + len(read))
        _check_balances(statement, entries=[entry for _, entry in booked], number=number)
        movements += read
        ibans.append(_iban(_path(statement, "Acct", "Id", "IBAN")))
    if not ibans:
        raise StatementRefused("The file holds no statement (no element Stmt).")
    what = "1 entry that is not booked yet was" if passed == 1 else f"{passed} entries that are not booked yet were"
    notes = (f"{what} passed over.",) if passed else ()
    return Statement(tuple(movements), iban=ibans[0], notes=notes)


def _parsed(data: bytes) -> Element:
    try:
        root: Element = fromstring(data, forbid_dtd=True)
    except DefusedXmlException:
        raise StatementRefused(
            "The file defines entities or a document type; a bank's statement has neither."
        ) from None
    except ParseError as fault:
        line, column = fault.position
        raise StatementRefused(
            f"The file is damaged: line {line}, column {column} is no XML. Fetch it again."
        ) from None
    except (ValueError, LookupError, UnicodeError, RecursionError):
        raise StatementRefused("The file is written in an encoding that cannot be read. Fetch it again.") from None
    return root


def _movements(entry: Element, *, place: str) -> Iterator[Movement]:
    amount_minor, currency = _amount(_child(entry, "Amt"), place=place)
    signed_minor = amount_minor * _sign(entry, place=place)
    if not signed_minor:
        return
    booked_on = _day(_child(entry, "BookgDt")) or _day(_child(entry, "ValDt"))
    if booked_on is None:
        raise StatementRefused(f"In {place} there is no day of booking that can be read.")
    value_on, is_reversal = _day(_child(entry, "ValDt")), _text(_child(entry, "RvslInd")).strip() in ("true", "1")
    details = [one for block in _children(entry, "NtryDtls") for one in _children(block, "TxDtls")]
    parts = _parts(details, entry=entry, signed_minor=signed_minor, currency=currency, place=place)
    for part, part_minor in parts:
        fee_minor = _fee_minor(part if len(parts) > 1 else entry, currency=currency, place=place)
        if len(parts) == 1 and details:
            fee_minor = fee_minor or _fee_minor(details[0], currency=currency, place=place)
        name, iban = _party(part, is_credit=signed_minor > 0)
        yield Movement(
            booked_on=booked_on, value_on=value_on, amount_minor=part_minor, currency=currency, fee_minor=fee_minor,
            party_name=name, party_iban=iban, reference=_reference(part), text=_words(part, entry=entry),
            is_reversal=is_reversal, place=place,
        )  # fmt: skip


def _parts(
    details: list[Element], *, entry: Element, signed_minor: int, currency: str, place: str
) -> list[tuple[Element, int]]:
    """The transactions of an entry with their signed sums, or the entry as one where they do not add up to it."""
    if len(details) < 2:
        return [(details[0] if details else entry, signed_minor)]
    found: list[tuple[Element, int]] = []
    for one in details:
        own = _child(one, "Amt")
        amount = own if own is not None else _path(one, "AmtDtls", "TxAmt", "Amt")
        if amount is None or amount.get("Ccy") != currency:
            return [(entry, signed_minor)]
        minor, _ = _amount(amount, place=place)
        turn = _text(_child(one, "CdtDbtInd")).strip() or _text(_child(entry, "CdtDbtInd")).strip()
        found.append((one, minor if turn == "CRDT" else -minor))
    if sum(minor for _, minor in found) != signed_minor or not all(minor for _, minor in found):
        return [(entry, signed_minor)]
    return found


def _check_balances(statement: Element, *, entries: Iterable[Element], number: int) -> None:
    balances: dict[str, tuple[int, str]] = {}
    for one in _children(statement, "Bal"):
        kind = _text(_path(one, "Tp", "CdOrPrtry", "Cd")).strip()
        place = f"statement {number}, balance {kind}"
        amount_minor, currency = _amount(_child(one, "Amt"), place=place)
        balances.setdefault(kind, (amount_minor * _sign(one, place=place), currency))
    opening = next((balances[kind] for kind in OPENING if kind in balances), None)
    closing = next((balances[kind] for kind in CLOSING if kind in balances), None)
    if opening is None or closing is None or opening[1] != closing[1]:
        return
    moved = 0
    for entry in entries:
        amount_minor, currency = _amount(_child(entry, "Amt"), place="an entry")
        if currency != opening[1]:
            return
        moved += amount_minor * _sign(entry, place="an entry")
    if opening[0] + moved != closing[0]:
        digits = currency_digits(opening[1])
        shown = [str(Decimal(value).scaleb(-digits)) for value in (opening[0], moved, closing[0])]
        raise StatementRefused(
            f"The balances of statement {number} do not agree: it opens with {shown[0]}, its entries come to "
            f"{shown[1]}, but it closes with {shown[2]}. A part of the file is missing; fetch it again."
        )


def _fee_minor(element: Element, *, currency: str, place: str) -> int:
    """Charges that were taken out of the sum itself, not booked beside it."""
    fee = 0
    for charges in _children(element, "Chrgs"):
        records = list(_children(charges, "Rcrd")) or [charges]
        for one in records:
            amount = _child(one, "Amt")
            if amount is None or amount.get("Ccy") != currency or _text(_child(one, "CdtDbtInd")).strip() == "CRDT":
                continue
            minor, _ = _amount(amount, place=place)
            marked = _text(_child(one, "ChrgInclInd")).strip()
            if marked in ("true", "1") or (not marked and _is_taken_out(element, fee_minor=minor, place=place)):
                fee += minor
    return fee


def _is_taken_out(element: Element, *, fee_minor: int, place: str) -> bool:
    """Version 02 does not say so, but a sum as sent that is larger by just the charge does."""
    booked = _child(element, "Amt")
    for kind in ("TxAmt", "InstdAmt"):
        sent = _path(element, "AmtDtls", kind, "Amt")
        if booked is not None and sent is not None and sent.get("Ccy") == booked.get("Ccy"):
            return abs(_amount(sent, place=place)[0] - _amount(booked, place=place)[0]) == fee_minor > 0
    return False


def _party(element: Element, *, is_credit: bool) -> tuple[str, str]:
    """Name and account of the other side: who paid for money that came, who got it for money that left."""
    parties = _path(element, "NtryDtls", "TxDtls", "RltdPties") if _name(element) == "Ntry" else None
    parties = parties if parties is not None else _child(element, "RltdPties")
    if parties is None:
        return "", ""
    sides = ("Dbtr", "UltmtDbtr") if is_credit else ("Cdtr", "UltmtCdtr")
    names = [_path(parties, side, "Nm") for side in sides] + [_path(parties, side, "Pty", "Nm") for side in sides]
    name = next((_text(one) for one in names if _text(one).strip()), "")
    return tidy(name, longest=140), _iban(_path(parties, f"{sides[0]}Acct", "Id", "IBAN"))


def _reference(element: Element) -> str:
    """The structured creditor reference; without one the end-to-end number the payer gave."""
    structured = [_text(one) for info in _all(element, "CdtrRefInf") for one in _children(info, "Ref")]
    ends = [_text(one) for refs in _all(element, "Refs") for one in _children(refs, "EndToEndId")]
    found = [tidy(one, longest=140) for one in (*structured, *ends)]
    return next((one for one in found if one and one.upper() not in NOTHING), "")


def _words(element: Element, *, entry: Element) -> str:
    """What the payer wrote, then what the bank says about it; an end-to-end number that is not the reference too."""
    parts = [_text(one) for info in _all(element, "RmtInf") for one in _children(info, "Ustrd")]
    parts += [_text(one) for info in _all(element, "Strd") for one in _children(info, "AddtlRmtInf")]
    parts += [_text(one) for one in _children(element, "AddtlTxInf")]
    parts += [_text(one) for refs in _all(element, "Refs") for one in _children(refs, "EndToEndId")]
    parts += [_text(one) for one in _children(entry, "AddtlNtryInf")]
    known = _reference(element)
    kept = [one for one in (tidy(part, longest=500) for part in parts) if one and one.upper() not in NOTHING]
    return tidy(" · ".join(dict.fromkeys(one for one in kept if one != known)), longest=500)


def _amount(element: Element | None, *, place: str) -> tuple[int, str]:
    text, currency = _text(element).strip(), (element.get("Ccy", "") if element is not None else "").strip()
    try:
        # A plain decimal only: the schema allows 18 digits, and a large exponent would fill the memory.
        plain = re.fullmatch(r"\d{1,18}(\.\d{0,13})?", text, re.ASCII)
        scaled = Decimal(plain[0] if plain else "").scaleb(currency_digits(currency))
        whole = int(scaled)
    except (InvalidOperation, MeasureError, ValueError):
        raise StatementRefused(
            f"In {place} “{tidy(text, longest=30)}” {tidy(currency, longest=10)} is no amount."
        ) from None
    if whole != scaled or not 0 <= whole <= LARGEST_MINOR:
        raise StatementRefused(f"In {place} {tidy(text, longest=30)} {currency} is no amount that can be booked.")
    return whole, currency


def _sign(element: Element, *, place: str) -> int:
    turn = _text(_child(element, "CdtDbtInd")).strip()
    if turn not in ("CRDT", "DBIT"):
        raise StatementRefused(f"In {place} it is not said whether the money came or left (CdtDbtInd).")
    return 1 if turn == "CRDT" else -1


def _is_booked(entry: Element) -> bool:
    status = _child(entry, "Sts")
    if status is None:
        return True
    return (_text(_child(status, "Cd")) or _text(status)).strip() in ("BOOK", "")


def _day(element: Element | None) -> date | None:
    if element is None:
        return None
    text = (_text(_child(element, "Dt")) or _text(_child(element, "DtTm"))).strip()
    try:
        day = date.fromisoformat(text[:10])
    except ValueError:
        return None
    return day if is_plausible(day) else None


def _iban(element: Element | None) -> str:
    try:
        return check_iban(_text(element))
    except PaymentDetailError:
        return ""


def _name(element: Element) -> str:
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""


def _first_name(root: Element) -> str:
    return tidy(_name(root[0]) if len(root) else _name(root), longest=40)


def _children(element: Element, name: str) -> Iterator[Element]:
    return (child for child in element if _name(child) == name)


def _child(element: Element, name: str) -> Element | None:
    return next(_children(element, name), None)


def _path(element: Element, *names: str) -> Element | None:
    found: Element | None = element
    for name in names:
        found = _child(found, name) if found is not None else None
    return found


def _all(element: Element, name: str) -> Iterator[Element]:
    return (one for one in element.iter() if _name(one) == name)


def _text(element: Element | None) -> str:
    return (element.text or "") if element is not None else ""

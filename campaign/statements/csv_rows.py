"""The rows of a bank's CSV file as movements, by a layout. Not for finding the table: see csv_sheet."""

import re

from campaign.measures.errors import MeasureError
from campaign.measures.money import parse_minor
from campaign.references import PaymentDetailError, check_iban
from campaign.statements.columns import Layout, Meaning, layout_faults, read_day
from campaign.statements.csv_sheet import CsvSheet
from campaign.statements.lines import Movement, Statement, StatementRefused, tidy

MOST_FAULTS = 5


class _RowFault(ValueError):
    """What is wrong in one row, as the rest of a sentence."""


def read_csv(sheet: CsvSheet, *, layout: Layout, currency: str) -> Statement:
    """
    The movements of a file, row by row.

    Parameters: layout, whose headings stand in the sheet; currency, of amounts where no column names one.
    Returns: the movements; rows without a day or without an amount (sums, empty rows) are passed over and counted.
    Raises: StatementRefused with the line numbers of up to five rows that cannot be read.
    """
    faults = layout_faults(layout)
    missing = [heading for heading in layout.columns.values() if heading not in sheet.headings]
    if missing:
        faults.append(f"The file has no column “{missing[0]}”.")
    if faults:
        raise StatementRefused(" ".join(faults))
    places = {meaning: sheet.headings.index(heading) for meaning, heading in layout.columns.items()}
    movements: list[Movement] = []
    wrong: list[str] = []
    passed = 0
    for line, cells in sheet.rows:
        row = {meaning: cells[place].strip() if place < len(cells) else "" for meaning, place in places.items()}
        try:
            movement = _movement(row, order=layout.day_order, currency=currency, line=line)
        except _RowFault as fault:
            wrong.append(f"Line {line}: {fault}.")
            continue
        if movement is None:
            passed += 1
        else:
            movements.append(movement)
    if wrong:
        more = f" And {len(wrong) - MOST_FAULTS} more lines." if len(wrong) > MOST_FAULTS else ""
        raise StatementRefused(f"{' '.join(wrong[:MOST_FAULTS])}{more} Nothing was read in.")
    what = "1 row without a day or an amount was" if passed == 1 else f"{passed} rows without a day or an amount were"
    notes = (f"{what} passed over.",) if passed else ()
    return Statement(tuple(movements), notes=notes)


def _movement(row: dict[Meaning, str], *, order: str, currency: str, line: int) -> Movement | None:
    currency = row.get(Meaning.CURRENCY, "").upper() or currency
    if not row[Meaning.BOOKED_ON]:
        return None
    booked_on = read_day(row[Meaning.BOOKED_ON], order=order)
    if booked_on is None:
        if not any(row.get(one) for one in (Meaning.AMOUNT, Meaning.CAME, Meaning.LEFT)):
            return None
        raise _RowFault(f"“{tidy(row[Meaning.BOOKED_ON], longest=30)}” is no day in the order that was chosen")
    amount_minor = _signed(row, currency=currency)
    if not amount_minor:
        return None
    fee_minor = abs(_minor(row.get(Meaning.FEE, ""), currency=currency))
    reference = tidy(row.get(Meaning.REFERENCE, ""), longest=140)
    return Movement(
        booked_on=booked_on, value_on=read_day(row.get(Meaning.VALUE_ON, ""), order=order), amount_minor=amount_minor,
        currency=currency, fee_minor=fee_minor, party_name=tidy(row.get(Meaning.NAME, ""), longest=140),
        party_iban=_iban(row.get(Meaning.IBAN, "")), reference=reference,
        text=tidy(row.get(Meaning.TEXT, ""), longest=500), place=f"line {line}",
    )  # fmt: skip


def _signed(row: dict[Meaning, str], *, currency: str) -> int:
    if Meaning.AMOUNT in row:
        return _minor(row[Meaning.AMOUNT], currency=currency)
    came, left = _minor(row[Meaning.CAME], currency=currency), abs(_minor(row[Meaning.LEFT], currency=currency))
    if came and left:
        raise _RowFault("both what came and what left are filled in")
    return came - left


def _minor(text: str, *, currency: str) -> int:
    """An amount with its sign in front, behind (12,50-) or as brackets; nothing for an empty cell."""
    plain = text.replace("\u2212", "-").strip()
    if not plain:
        return 0
    turned = re.fullmatch(r"\((.*)\)|(.*\d)\s*-", plain)
    if turned:
        plain = f"-{(turned[1] or turned[2]).strip()}"
    try:
        return parse_minor(plain.removeprefix("+"), currency=currency, allow_negative=True)
    except MeasureError as fault:
        raise _RowFault(f"“{tidy(text, longest=30)}” is no amount in {tidy(currency, longest=10)}") from fault


def _iban(text: str) -> str:
    try:
        return check_iban(text)
    except PaymentDetailError:
        return ""

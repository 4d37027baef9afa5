"""The settings against themselves: dates in order, a way to pay. Rows of tables are in `checks.py`."""

from collections.abc import Iterator
from datetime import date

from campaign.showfolder.entries import Entry
from campaign.showfolder.rows import Outcome, SettingsRow, Verdict
from campaign.showfolder.settings import SettingsReading

# earlier, later, may they be the same day, what the later one has to do with the earlier
_ORDER = (
    ("campaign opens", "campaign closes", False, "The campaign has to close after it opens"),
    ("campaign closes", "hanging date", True, "Hanging day has to come after the campaign closes"),
    ("hanging date", "opening", True, "The opening cannot come before hanging day"),
    ("opening", "last day", True, "The show cannot end before its opening"),
    ("campaign closes", "posting by", False, "Prints are promised for a day after the campaign closes"),
    ("campaign opens", "cancel until", True, "Cancelling has to be possible after the campaign opens"),
    ("cancel until", "posting by", True, "Cancelling has to end before the prints are posted"),
)


def settings_faults(reading: SettingsReading) -> Iterator[Verdict]:
    """
    Refusals for dates out of order, a reminder that comes before its hold, and no way to pay.

    Nothing is said when the settings themselves were refused: one fault then looks like five.
    """
    row = reading.row
    if row is None:
        return
    days = _days(row)
    for earlier, later, same_day, sentence in _ORDER:
        first, second = days[earlier], days[later]
        if first > second or (first == second and not same_day):
            yield _at(reading, later, f"{sentence} ({first:%Y-%m-%d}); write a later day.")
    if row.reminder_days >= row.hold_days:
        sentence = f"The reminder has to come while the hold of {row.hold_days} days runs; write fewer days."
        yield _at(reading, "reminder days", sentence)
    if not (row.iban or row.cheque_payee or row.cash_note):
        yield _at(reading, "iban", "There is no way to pay; give an iban, a cheque payee or a cash note.")
    if row.iban and not row.account_holder:
        yield _at(reading, "account holder", "An account needs the name of its holder; add it.")
    shares = {
        "commission": row.commission_bp,
        "set aside": row.set_aside_bp,
        "payment fee": row.fee_bp,
        "contingency": row.contingency_bp,
    }
    if max(shares.values()) >= 10_000:
        yield _at(
            reading, max(shares, key=lambda name: shares[name]), "A share of 100 % leaves nothing; write a smaller one."
        )
    if not row.printer_seconds:
        sentence = "There are no printer hours, so nothing can be printed at home; give them if you print yourself."
        yield _at(reading, "printer hours", sentence, outcome=Outcome.NOTED)


def _days(row: SettingsRow) -> dict[str, date]:
    return {
        "campaign opens": row.opens_at.date(),
        "campaign closes": row.closes_at.date(),
        "hanging date": row.hang_on,
        "opening": row.opening_at.date(),
        "last day": row.last_day_on,
        "posting by": row.posting_by_on,
        "cancel until": row.cancel_until_on,
    }


def _at(reading: SettingsReading, name: str, sentence: str, *, outcome: Outcome = Outcome.REFUSED) -> Verdict:
    entry = reading.entries.get(name) or Entry(reading.label, None, {}, {}, {})
    return entry.verdict(sentence, column=name, outcome=outcome)

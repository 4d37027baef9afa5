"""The cash book, the pledges and the sums to send back as plain tables, in the order they were written."""

from collections import defaultdict
from dataclasses import dataclass

from campaign.models import CashEntry, Copy, Pledge, Refund, Show
from campaign.queries.pledges import with_received
from campaign.sheets import Column, Kind, Row, Table

MONEY = Kind.MONEY
CASH_BOOK = (
    Column("Key"), Column("Day", Kind.DAY), Column("From"), Column("To"), Column("Amount", MONEY), Column("Currency"),
    Column("What"), Column("Order"), Column("Funder"), Column("Corrects"), Column("Written at", Kind.MOMENT),
)  # fmt: skip
PLEDGES = (
    Column("Order"), Column("Reference"), Column("State"), Column("Name"), Column("E-mail"), Column("Way of paying"),
    Column("Copies", Kind.COUNT), Column("Numbers"), Column("Currency"), Column("Prints", MONEY),
    Column("Postage", MONEY), Column("Gift", MONEY), Column("Tax added", MONEY), Column("Sum", MONEY),
    Column("Tax within", MONEY), Column("Received", MONEY), Column("Country"), Column("Region"), Column("Town"),
    Column("Post code"), Column("Street"), Column("Company"), Column("Thanked by name", Kind.FLAG),
    Column("Wants updates", Kind.FLAG), Column("Message"), Column("Placed at", Kind.MOMENT),
    Column("Held until", Kind.MOMENT), Column("Paid at", Kind.MOMENT), Column("Ended at", Kind.MOMENT),
    Column("Posted by", Kind.DAY),
)  # fmt: skip
TO_SEND = (
    Column("To"), Column("Account"), Column("Amount", MONEY), Column("Currency"), Column("Way"), Column("Reference"),
    Column("Order"), Column("E-mail"), Column("Why"), Column("Since", Kind.MOMENT), Column("State"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Export:
    """A table with its rows; `name` is the beginning of a file's name."""

    name: str
    table: Table
    rows: tuple[Row, ...]


def read_export(show: Show, *, what: str) -> Export:
    """The export `what` of `show`: cash-book, pledges or to-send. Raises: KeyError for another."""
    return {"cash-book": export_cash_book, "pledges": export_pledges, "to-send": export_to_send}[what](show)


def export_cash_book(show: Show) -> Export:
    """Every line of the cash book, the oldest first. One query."""
    entries = CashEntry.objects.filter(show=show).select_related("pledge", "funder", "corrects").order_by("pk")
    return Export(
        name=f"{show.code}-cash-book",
        table=Table("Cash book", CASH_BOOK, show.currency),
        rows=tuple(
            (
                entry.key, entry.happened_on, entry.credit, entry.debit, entry.amount_minor, entry.currency,
                entry.text, entry.pledge.code if entry.pledge else "", entry.funder.code if entry.funder else "",
                entry.corrects.key if entry.corrects else "", entry.written_at,
            )
            for entry in entries
        ),
    )  # fmt: skip


def export_pledges(show: Show) -> Export:
    """Every pledge with its person, its sums and what was received, the oldest first. Two queries."""
    numbers: defaultdict[int | None, list[str]] = defaultdict(list)
    copies = Copy.objects.filter(pledge__show=show).order_by("edition__position", "edition", "number")
    for pledge_id, code, number in copies.values_list("pledge", "edition__code", "number"):
        numbers[pledge_id].append(f"{code} {number}")
    pledges = with_received(Pledge.objects.filter(show=show)).order_by("placed_at", "pk")
    return Export(
        name=f"{show.code}-pledges",
        table=Table("Pledges", PLEDGES, show.currency),
        rows=tuple(_pledge_row(pledge, numbers=", ".join(numbers[pledge.pk])) for pledge in pledges),
    )


def _pledge_row(pledge: Pledge, *, numbers: str) -> Row:
    place = {key: str(value) for key, value in pledge.address.items()}
    return (
        pledge.code, pledge.reference, pledge.state, pledge.name, pledge.email, pledge.way, pledge.copies, numbers,
        pledge.currency, pledge.prints_minor, pledge.postage_minor, pledge.gift_minor, pledge.tax_added_minor,
        pledge.total_minor, pledge.tax_minor,
        pledge.received_minor,  # type: ignore[attr-defined]  # annotated
        place.get("country_code", ""), place.get("country_area", ""), place.get("city", ""),
        place.get("postal_code", ""), place.get("street_address", ""), place.get("company_name", ""),
        pledge.is_thanked_by_name, pledge.wants_updates, pledge.message, pledge.placed_at, pledge.hold_until_at,
        pledge.paid_at, pledge.ended_at, pledge.posting_by_on,
    )  # fmt: skip


def export_to_send(show: Show) -> Export:
    """What is to be given back and has not gone, the oldest first. One query."""
    states = (Refund.State.OWED, Refund.State.SENDING, Refund.State.FAILED)
    refunds = Refund.objects.filter(pledge__show=show, state__in=states).select_related("pledge").order_by("pk")
    return Export(
        name=f"{show.code}-to-send-back",
        table=Table("To send back", TO_SEND, show.currency),
        rows=tuple(
            (
                refund.account_holder or refund.pledge.name, refund.iban, refund.amount_minor, show.currency,
                refund.way, refund.pledge.reference, refund.pledge.code, refund.pledge.email, refund.reason,
                refund.created_at, refund.state,
            )
            for refund in refunds
        ),
    )  # fmt: skip

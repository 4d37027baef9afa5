"""Statements read in, lines booked and passed: every act, twice, and what it leaves in the books."""

from datetime import date, timedelta

import pytest

from campaign.errors import NotInThisState
from campaign.models import (
    Account,
    BankLine,
    BankStatement,
    BankUpload,
    CashEntry,
    CsvLayout,
    OutboxMessage,
    Pledge,
    Refund,
)
from campaign.queries.bank import list_certain, list_open
from campaign.queries.money import read_balances, received_for
from campaign.services import bank_lines
from campaign.services.bank_lines import OtherCurrency, WrongSide
from campaign.services.bank_statements import (
    FileRefused,
    drop_statement,
    read_upload,
    take_file,
    upload_sheet,
)
from campaign.services.owing import owe_refund
from campaign.services.payments import correct_entry
from campaign.services.pledges import cancel_pledge, lapse_due_holds
from campaign.statements import Layout, Verdict, guess_layout
from tests import builders
from tests.builders import NOW
from tests.campaign.statements.camt_files import camt, details, entry, party

pytestmark = pytest.mark.django_db
LATER = NOW.replace(day=25)


def euros(minor):
    return f"{minor // 100}.{minor % 100:02d}"


def came(minor, *, reference="", name="Bo Buyer", words="", turn="CRDT", fee_minor=0, iban="NL91ABNA0417164300"):
    charges = (
        f'<Chrgs><Rcrd><Amt Ccy="EUR">{euros(fee_minor)}</Amt><CdtDbtInd>DBIT</CdtDbtInd>'
        "<ChrgInclInd>true</ChrgInclInd></Rcrd></Chrgs>" * bool(fee_minor)
    )
    side = "Dbtr" if turn == "CRDT" else "Cdtr"
    inner = details(reference=reference, words=words, parties=party(name, iban, side=side))
    return entry(euros(minor), turn=turn, inner=inner, charges=charges)


def read(show, *entries, name="march.xml", now=NOW):
    return take_file(show=show, file_name=name, data=camt(*entries), now=now)


def lines(show):
    return list(BankLine.objects.filter(statement__show=show).order_by("pk"))


def mails(name):
    return list(OutboxMessage.objects.filter(name=name).order_by("pk"))


@pytest.fixture
def pledge(show):
    return builders.place(show)


def test_reading_twice_changes_nothing(show, pledge):
    first = read(show, came(1000), came(1000), came(2000))
    assert (first.added, first.known) == (3, 0)
    again = read(show, came(1000), came(1000), came(2000), name="again.xml")
    assert again.statement == first.statement and (again.added, again.known) == (0, 3)
    longer = read(show, came(1000), came(1000), came(2000), came(1000), name="longer.xml")
    assert (longer.added, longer.known) == (1, 3)
    assert [line.same_before for line in lines(show)] == [0, 1, 0, 2]
    assert not CashEntry.objects.exists()


def test_line_that_agrees_is_booked_once_and_pays_the_order(show, pledge):
    read(show, came(pledge.total_minor, reference=pledge.reference))
    (certain,) = list_certain(show)
    assert certain.pledge == pledge
    booking = bank_lines.book_line_to_order(line=certain.line, pledge=pledge, surplus="", now=NOW)
    again = bank_lines.book_line_to_order(line=certain.line, pledge=pledge, surplus="", now=NOW)
    assert booking and again is None
    pledge.refresh_from_db()
    line = lines(show)[0]
    assert pledge.state == "paid" and (line.state, line.entry, line.pledge) == ("booked", booking.entry, pledge)
    assert booking.entry.key.startswith(f"payment:bank:{line.line_hash[:40]}")
    assert booking.entry.happened_on == date(2026, 3, 10)
    assert CashEntry.objects.count() == 1 and len(mails("payment_received")) == 1
    assert list_open(show) == []


def test_charge_of_the_bank_becomes_a_line_of_its_own(show, pledge):
    read(show, came(pledge.total_minor - 150, reference=pledge.reference, fee_minor=150))
    (certain,) = list_certain(show)
    bank_lines.book_line_to_order(line=certain.line, pledge=pledge, surplus="", now=NOW)
    pledge.refresh_from_db()
    balances = read_balances(show)
    assert pledge.state == "paid" and received_for(pledge) == pledge.total_minor
    assert (balances[Account.BANK], balances[Account.FEES]) == (pledge.total_minor - 150, 150)


def test_part_payment_tells_the_backer_what_is_missing(show, pledge):
    read(show, came(2000, reference=pledge.reference))
    (shown,) = list_open(show)
    assert shown.proposal.verdict is Verdict.LESS
    bank_lines.book_line_to_order(line=shown.line, pledge=pledge, surplus="", now=NOW)
    (mail,) = mails("payment_part")
    missing = f"€{euros(pledge.total_minor - 2000)}"
    assert "€20.00 came" in mail.text and missing in mail.text and missing in mail.subject
    assert pledge.reference[:4] in mail.text


@pytest.mark.parametrize("surplus", ["", "keep", "back"])
def test_too_much_is_kept_or_goes_back_as_chosen(show, pledge, surplus):
    total_minor = pledge.total_minor
    read(show, came(total_minor + 500, reference=pledge.reference))
    (shown,) = list_open(show)
    assert shown.proposal.verdict is Verdict.MORE
    bank_lines.book_line_to_order(line=shown.line, pledge=pledge, surplus=surplus, now=NOW)
    pledge.refresh_from_db()
    assert pledge.state == "paid"
    assert pledge.total_minor == total_minor + (500 if surplus == "keep" else 0)
    assert lines(show)[0].kept_minor == (500 if surplus == "keep" else 0)
    owed = [(refund.amount_minor, refund.iban) for refund in Refund.objects.all()]
    assert owed == ([(500, "NL91ABNA0417164300")] if surplus == "back" else [])
    (mail,) = mails("payment_received")
    words = {"": "will write to you", "keep": "kept as your gift", "back": "The rest goes back to you"}
    assert words[surplus] in mail.text and "€5.00 more" in mail.text


@pytest.mark.parametrize("surplus", ["", "keep", "back"])
def test_second_payment_for_a_paid_order(show, pledge, surplus):
    builders.pay(pledge)
    read(show, came(1000, reference=pledge.reference))
    (shown,) = list_open(show)
    assert shown.proposal.verdict is Verdict.AGAIN
    bank_lines.book_line_to_order(line=shown.line, pledge=pledge, surplus=surplus, now=NOW)
    (mail,) = mails("payment_over")
    assert "paid already" in mail.text
    assert Refund.objects.count() == (surplus == "back")


def test_late_payment_takes_copies_if_they_are_free(show, pledge):
    _lapse(pledge)
    read(show, came(pledge.total_minor, reference=pledge.reference))
    (shown,) = list_open(show)
    assert shown.proposal.verdict is Verdict.ENDED
    bank_lines.book_line_to_order(line=shown.line, pledge=pledge, surplus="back", now=LATER)
    pledge.refresh_from_db()
    assert pledge.state == "paid" and not Refund.objects.exists()


def test_late_payment_without_free_copies_is_owed_back(db):
    show = builders.make_show(copies=1)
    pledge = builders.place(show)
    _lapse(pledge)
    builders.place(show, now=LATER)
    read(show, came(pledge.total_minor, reference=pledge.reference))
    bank_lines.book_line_to_order(line=lines(show)[0], pledge=pledge, surplus="back", now=LATER)
    pledge.refresh_from_db()
    refund = Refund.objects.get()
    assert pledge.state == "lapsed" and refund.amount_minor == pledge.total_minor
    assert "goes back to you" in mails("payment_over")[0].text


def _lapse(pledge):
    lapse_due_holds(now=pledge.hold_until_at + timedelta(minutes=1))
    pledge.refresh_from_db()
    assert pledge.state == "lapsed"


def test_money_for_a_cancelled_order_is_owed_back_to_the_account_it_came_from(show, pledge):
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    read(show, came(pledge.total_minor, reference=pledge.reference))
    bank_lines.book_line_to_order(line=lines(show)[0], pledge=pledge, surplus="", now=NOW)
    refund = Refund.objects.get()
    assert (refund.amount_minor, refund.iban) == (pledge.total_minor, "NL91ABNA0417164300")


def test_corrected_entry_lets_the_line_wait_again_and_it_can_be_booked_anew(show, pledge):
    other = builders.place(show)
    read(show, came(pledge.total_minor - 150, reference=pledge.reference, fee_minor=150))
    line = lines(show)[0]
    for count in range(3):
        booking = bank_lines.book_line_to_order(line=line, pledge=pledge, surplus="", now=NOW)
        assert booking.entry.key.endswith(f".{count}" if count else line.line_hash[:40])
        correct_entry(entry=booking.entry, reason="wrong order", now=NOW)
        assert lines(show)[0].state == "open"
    bank_lines.book_line_to_order(line=line, pledge=other, surplus="", now=NOW)
    assert received_for(pledge) == 0 and received_for(other) == pledge.total_minor
    balances = read_balances(show)
    assert (balances[Account.BANK], balances[Account.FEES]) == (pledge.total_minor - 150, 150)


def test_gift_is_none_any_more_once_its_entry_is_corrected(show, pledge):
    total_minor = pledge.total_minor
    read(show, came(total_minor + 500, reference=pledge.reference))
    booking = bank_lines.book_line_to_order(line=lines(show)[0], pledge=pledge, surplus="keep", now=NOW)
    correct_entry(entry=booking.entry, reason="another's", now=NOW)
    pledge.refresh_from_db()
    assert pledge.total_minor == total_minor and lines(show)[0].kept_minor == 0


def test_money_that_left_settles_what_was_owed(show, pledge):
    builders.pay(pledge)
    (refund,) = owe_refund(pledge=pledge, amount_minor=1000, key="r1", reason="Too much", now=NOW)
    read(show, came(1150, turn="DBIT", fee_minor=150, name=pledge.name, iban=""))
    shown = list_open(show)[0]
    assert (shown.proposal.verdict, shown.refund) == (Verdict.REFUND, refund)
    for _ in range(2):
        bank_lines.book_line_as_refund(line=shown.line, refund=refund, now=NOW)
    refund.refresh_from_db()
    line = lines(show)[0]
    assert refund.state == "done" and line.entry == refund.entry and line.state == "booked"
    balances = read_balances(show)
    assert balances[Account.REFUNDS] == 1000 and balances[Account.FEES] == 150
    assert balances[Account.BANK] == pledge.total_minor - 1150
    assert len(mails("refund_made")) == 1


def test_refund_of_another_sum_is_refused(show, pledge):
    builders.pay(pledge)
    (refund,) = owe_refund(pledge=pledge, amount_minor=1000, key="r1", reason="Too much", now=NOW)
    read(show, came(900, turn="DBIT"))
    with pytest.raises(NotInThisState):
        bank_lines.book_line_as_refund(line=lines(show)[0], refund=refund, now=NOW)
    assert lines(show)[0].state == "open"


def test_money_the_bank_took_back(show, pledge):
    builders.pay(pledge)
    read(show, came(pledge.total_minor, turn="DBIT", reference=pledge.reference))
    shown = list_open(show)[0]
    assert shown.proposal.verdict is Verdict.RETURNED
    for _ in range(2):
        bank_lines.book_line_back(line=shown.line, pledge=pledge, now=NOW)
    assert received_for(pledge) == 0


@pytest.mark.parametrize(
    ("turn", "kind", "account", "sign"),
    [
        ("CRDT", "own", "own", -1), ("CRDT", "sponsor", "sponsors", -1), ("CRDT", "grant", "grants", -1),
        ("DBIT", "cost", "costs", 1), ("DBIT", "fee", "fees", 1),
    ],
)  # fmt: skip
def test_lines_of_no_order(show, turn, kind, account, sign):
    read(show, came(7000, turn=turn))
    for _ in range(2):
        bank_lines.book_line_as(line=lines(show)[0], kind=kind, text="The bakery", now=NOW)
    assert read_balances(show)[account] == sign * 7000
    assert CashEntry.objects.get().text == "The bakery"


def test_money_in_the_wrong_direction_is_refused(show, pledge):
    read(show, came(7000), came(8000, turn="DBIT"))
    incoming, outgoing = lines(show)
    with pytest.raises(WrongSide):
        bank_lines.book_line_as(line=incoming, kind="cost", text="x", now=NOW)
    with pytest.raises(WrongSide):
        bank_lines.book_line_to_order(line=outgoing, pledge=pledge, surplus="", now=NOW)
    assert not CashEntry.objects.exists()


def test_other_currency_can_only_be_passed(show, pledge):
    take_file(show=show, file_name="a.xml", data=camt(entry("10.00", currency="CHF")), now=NOW)
    with pytest.raises(OtherCurrency):
        bank_lines.book_line_to_order(line=lines(show)[0], pledge=pledge, surplus="", now=NOW)
    bank_lines.pass_line(line=lines(show)[0], note="francs", now=NOW)
    assert lines(show)[0].state == "passed"


def test_passing_can_be_undone_and_a_passed_line_is_not_booked(show, pledge):
    read(show, came(7000))
    for _ in range(2):
        bank_lines.pass_line(line=lines(show)[0], note="rent", now=NOW)
    with pytest.raises(NotInThisState):
        bank_lines.book_line_to_order(line=lines(show)[0], pledge=pledge, surplus="", now=NOW)
    for _ in range(2):
        bank_lines.take_line_up(line=lines(show)[0])
    assert lines(show)[0].state == "open" and lines(show)[0].note == ""


def test_money_booked_by_hand_is_tied_and_not_booked_again(show, pledge):
    builders.pay(pledge)
    hand = CashEntry.objects.get()
    read(show, came(pledge.total_minor, reference=pledge.reference))
    shown = list_open(show)[0]
    assert (shown.proposal.verdict, shown.entry) == (Verdict.BOOKED, hand)
    for _ in range(2):
        bank_lines.tie_line(line=shown.line, entry=hand, now=NOW)
    assert CashEntry.objects.count() == 1 and lines(show)[0].pledge == pledge
    read(show, came(pledge.total_minor, reference=pledge.reference, words="again"), name="b.xml")
    with pytest.raises(NotInThisState):
        bank_lines.tie_line(line=lines(show)[1], entry=hand, now=NOW)


def test_statement_can_be_taken_out_until_a_line_is_booked(show, pledge):
    done = read(show, came(7000), came(8000))
    bank_lines.book_line_to_order(line=lines(show)[0], pledge=pledge, surplus="", now=NOW)
    with pytest.raises(NotInThisState):
        drop_statement(statement=done.statement)
    assert len(lines(show)) == 2
    correct_entry(entry=CashEntry.objects.get(), reason="x", now=NOW)
    drop_statement(statement=done.statement)
    drop_statement(statement=done.statement)
    assert not BankStatement.objects.exists() and not lines(show)


CSV = b"Day;Who;Why;Sum\n10.03.2026;Bo;for you;12,50\n11.03.2026;Cy;;-3,00\n"


def test_csv_asks_once_what_its_columns_mean(show):
    done = take_file(show=show, file_name="bank.csv", data=CSV, now=NOW)
    assert done.statement is None and BankUpload.objects.get() == done.upload
    sheet = upload_sheet(done.upload)
    guess = guess_layout(sheet)
    layout = Layout(sheet.headings, guess.columns | {"booked_on": "Day", "name": "Who", "amount": "Sum"}, "dmy")
    read_in = read_upload(upload=done.upload, layout=layout, name="My bank", now=NOW)
    assert read_in.added == 2 and not BankUpload.objects.exists() and CsvLayout.objects.get().name == "My bank"
    again = take_file(show=show, file_name="april.csv", data=CSV + b"12.04.2026;Di;;4,00\n", now=NOW)
    assert (again.added, again.known) == (1, 2)


def test_files_that_cannot_be_read_are_refused(show):
    for data in (b"", b"<a/>", b"\x00\x01\x02", camt()):
        with pytest.raises(FileRefused):
            take_file(show=show, file_name="x", data=data, now=NOW)
    assert not BankStatement.objects.exists()


def test_two_shows_read_the_same_account(show, pledge):
    other = builders.make_draft(code="second")
    read(show, came(1000))
    assert read(other, came(1000)).added == 1
    assert Pledge.objects.count() == 1

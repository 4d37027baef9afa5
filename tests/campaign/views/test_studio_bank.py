"""The bank's pages: files in, lines booked, bad input, twice. Who may open them is asked in test_studio_access."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from campaign.models import BankLine, BankStatement, CashEntry, CsvLayout, Refund
from campaign.services.owing import owe_refund
from tests import builders
from tests.builders import NOW
from tests.campaign.statements.camt_files import camt, details, entry, party

pytestmark = pytest.mark.django_db
NASTY = "<script>alert(1)</script> \"' =1+1 \u202eRTL 😀"


@pytest.fixture
def pledge(show):
    return builders.place(show)


def url(name, show, *args):
    return reverse(f"campaign:{name}", args=[show.code, *args])


def send(client, show, data, *, name="march.xml"):
    return client.post(url("bank", show), {"file": SimpleUploadedFile(name, data)}, follow=True)


def money(pledge, *, more=0):
    minor = pledge.total_minor + more
    return f"{minor // 100}.{minor % 100:02d}"


def payment(pledge, *, more=0, words="", **changes):
    inner = details(reference=pledge.reference, words=words, parties=party("Bo Buyer", "NL91ABNA0417164300"))
    return entry(money(pledge, more=more), inner=inner, **changes)


def only_line():
    return BankLine.objects.get()


def test_statement_is_read_in_and_waits_with_its_proposals(ada_client, show, pledge):
    page = send(ada_client, show, camt(payment(pledge, words=NASTY), entry("3.00", turn="DBIT")))
    text = page.content.decode()
    assert "2 lines read in, nothing booked yet." in text and "2 lines to look at" in text
    assert "Reference and sum agree." in text and "Money that left; nothing that is owed agrees with it." in text
    assert "<script>alert" not in text and not CashEntry.objects.exists()
    again = send(ada_client, show, camt(payment(pledge, words=NASTY), entry("3.00", turn="DBIT")))
    assert "Every line of it was read in before; nothing has changed." in again.content.decode()
    assert BankLine.objects.count() == 2 and BankStatement.objects.count() == 1


def test_all_that_agree_are_booked_with_one_button_and_twice_is_once(ada_client, show, pledge):
    other = builders.place(show)
    send(ada_client, show, camt(payment(pledge), payment(other), payment(builders.place(show), more=100)))
    for _ in range(2):
        page = ada_client.post(url("bank_book", show), {"all": "1"}, follow=True)
    assert "No line was chosen" in page.content.decode()
    assert BankLine.objects.filter(state="booked").count() == 2 and CashEntry.objects.count() == 2
    assert {pledge.state for pledge in show.pledges.order_by("pk")[:2]} == {"paid"}


def test_ticked_lines_are_booked_to_the_order_they_were_shown_with(ada_client, show, pledge):
    send(ada_client, show, camt(payment(pledge, more=-1000)))
    stale = f"{only_line().code}:{builders.place(show).code}"
    page = ada_client.post(url("bank_book", show), {"line": [stale, "x", ""]}, follow=True)
    assert "No line was chosen" in page.content.decode()
    page = ada_client.post(url("bank_book", show), {"line": f"{only_line().code}:{pledge.code}"}, follow=True)
    assert "1 line booked." in page.content.decode() and only_line().pledge == pledge


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty."),
        (b"<a/>", "no statement"),
        (b"hello", "None of the first 30 rows"),
        (b"\x00\xff" * 50, "None of the first 30 rows"),
        (b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "entities or a document type"),
    ],
)
def test_bad_files_get_a_sentence_at_the_field(ada_client, show, data, words):
    page = send(ada_client, show, data)
    assert page.status_code == 200 and words in page.content.decode()
    assert not BankStatement.objects.exists()


def test_no_file_gets_a_sentence(ada_client, show):
    assert "Choose the file first." in ada_client.post(url("bank", show)).content.decode()


def test_csv_is_asked_about_once(ada_client, show, pledge):
    rows = f"Day;Who;Why;Sum\n10.03.2026;{NASTY[:20]};{pledge.reference};{money(pledge)}\n"
    page = send(ada_client, show, rows.encode(), name="bank.csv")
    assert "What the columns mean" in page.content.decode() and "<script>a" not in page.content.decode()
    where = page.redirect_chain[-1][0]
    wrong = ada_client.post(where, {"name": "Mine", "day_order": "dmy", "column_booked_on": "Day"})
    assert "Say which column holds the amount" in wrong.content.decode()
    ada_client.post(where, {"name": "Mine", "day_order": "dmy", "column_amount": "no such", "column_booked_on": "Day"})
    assert not BankStatement.objects.exists()
    fields = {
        "name": "Mine",
        "day_order": "dmy",
        "column_booked_on": "Day",
        "column_amount": "Sum",
        "column_text": "Why",
    }
    done = ada_client.post(where, fields, follow=True)
    assert "1 line read in" in done.content.decode() and "Reference and sum agree." in done.content.decode()
    assert ada_client.post(where, fields).status_code == 404
    assert CsvLayout.objects.get().name == "Mine"
    assert "1 line read in" in send(ada_client, show, rows.replace("10.03", "12.03").encode()).content.decode()


def test_waiting_csv_can_be_forgotten(ada_client, show):
    page = send(ada_client, show, b"Day;Who;Sum\n10.03.2026;Bo;1\n", name="bank.csv")
    where = page.redirect_chain[-1][0]
    assert "say what its columns mean" in ada_client.get(url("bank", show)).content.decode()
    assert "forgotten" in ada_client.post(f"{where}forget/", follow=True).content.decode()
    assert "say what its columns mean" not in ada_client.get(url("bank", show)).content.decode()


@pytest.mark.parametrize(
    ("surplus", "words"), [("keep", "kept as a gift"), ("back", "money that goes back"), ("", "more")]
)
def test_too_much_is_decided_on_the_line_s_page(ada_client, show, pledge, surplus, words):
    send(ada_client, show, camt(payment(pledge, more=700)))
    page = ada_client.get(url("bank_line", show, only_line().code)).content.decode()
    assert "it is more than is missing" in page
    fields = {"pledge": pledge.code, "surplus": surplus}
    for count in range(2):
        said = ada_client.post(url("bank_to_order", show, only_line().code), fields, follow=True).content.decode()
        assert (words if not count else "booked before") in said
    assert Refund.objects.count() == (surplus == "back")
    assert "Booked as" in ada_client.get(url("bank_line", show, only_line().code)).content.decode()


def test_another_order_is_found_by_name_and_by_sum(ada_client, show, pledge):
    send(ada_client, show, camt(entry(money(pledge))))
    line = url("bank_line", show, only_line().code)
    for words in ("", pledge.name[:9], pledge.reference):
        assert pledge.code in ada_client.get(line, {"words": words}).content.decode()
    assert "No other order fits" in ada_client.get(line, {"words": NASTY}).content.decode()
    said = ada_client.post(f"{line}order/", {"pledge": pledge.code}, follow=True).content.decode()
    assert "The order is paid" in said


def test_acts_with_nothing_or_nonsense_in_them_change_nothing(ada_client, show, pledge):
    send(ada_client, show, camt(payment(pledge)))
    line = url("bank_line", show, only_line().code)
    assert ada_client.post(f"{line}order/").status_code == 302
    assert ada_client.post(f"{line}other/", {"kind": "cost", "text": "x"}).status_code == 302
    for act, name in (("order", "pledge"), ("back", "pledge"), ("refund", "refund"), ("tie", "entry")):
        assert ada_client.post(f"{line}{act}/", {name: NASTY[:18]}).status_code == 404
    assert "other direction" in ada_client.post(f"{line}back/", {"pledge": pledge.code}, follow=True).content.decode()
    assert only_line().state == "open" and not CashEntry.objects.exists()


def test_sum_that_was_owed_is_settled_from_its_line(ada_client, show, pledge):
    builders.pay(pledge)
    (refund,) = owe_refund(pledge=pledge, amount_minor=1000, key="r", reason="Too much", now=NOW)
    send(ada_client, show, camt(entry("10.00", turn="DBIT", inner=details(parties=party(pledge.name, side="Cdtr")))))
    line = url("bank_line", show, only_line().code)
    assert "It has gone back" in ada_client.get(line).content.decode()
    assert (
        "Booked as given back"
        in ada_client.post(f"{line}refund/", {"refund": refund.key}, follow=True).content.decode()
    )
    refund.refresh_from_db()
    assert refund.state == "done"


def test_line_is_passed_and_taken_up_again(ada_client, show, pledge):
    send(ada_client, show, camt(payment(pledge)))
    line = url("bank_line", show, only_line().code)
    ada_client.post(f"{line}pass/", {"note": NASTY})
    assert only_line().state == "passed"
    statement = url("bank_statement", show, only_line().statement.code)
    assert "passed over" in ada_client.get(statement).content.decode()
    ada_client.post(f"{line}pass/", {"again": "1"})
    assert only_line().state == "open"
    assert "taken out" in ada_client.post(statement, follow=True).content.decode()
    assert not BankLine.objects.exists()


def test_corrected_entry_brings_its_line_back(ada_client, show, pledge):
    send(ada_client, show, camt(payment(pledge)))
    ada_client.post(url("bank_book", show), {"all": "1"})
    ada_client.post(url("correct", show, CashEntry.objects.get().key), {"reason": "another's"})
    assert only_line().state == "open" and "1 line to look at" in ada_client.get(url("bank", show)).content.decode()


def test_other_money_from_a_line(ada_client, show):
    send(ada_client, show, camt(entry("70.00")))
    line = url("bank_line", show, only_line().code)
    ada_client.post(f"{line}other/", {"kind": "sponsor", "text": "The bakery"})
    assert CashEntry.objects.get().credit == "sponsors"


def test_the_page_of_many_lines_asks_few_questions(ada_client, show, django_assert_max_num_queries):
    orders = [builders.place(show) for _ in range(6)]
    send(ada_client, show, camt(*[payment(one) for one in orders]))
    with django_assert_max_num_queries(24):
        ada_client.get(url("bank", show))

"""Pages of endings in the studio: money back, the minimum, calling off, exports; and what backers read of them."""

import uuid
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from campaign.access import make_pledge_token
from campaign.models import Copy, Job, Refund, Show
from campaign.services.calling_off import end_orders
from campaign.services.exports import write_export
from campaign.services.minimum import set_minimum
from campaign.services.pledges import cancel_pledge
from tests.builders import NOW, make_draft, pay, place

DAY = NOW.date().isoformat()
IBAN = "DE02120300000000202051"


@pytest.fixture(autouse=True)
def at_noon(clock):
    """The day of the builders."""


@pytest.fixture
def owed(show):
    """A cancelled order whose money has to go back."""
    pledge = place(show)
    pay(pledge)
    cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    return Refund.objects.get()


def at(name, show, *parts):
    return reverse(f"campaign:{name}", args=[show.code, *parts])


def text(answer):
    return " ".join(answer.content.decode().split())


def test_what_is_owed_is_listed_and_ticked_as_sent_once(show, owed, ada_client):
    page = text(ada_client.get(at("refunds", show)))
    assert "€49.90 has still to go back: €49.90 by bank transfer (1)" in page
    for _ in range(2):
        done = ada_client.post(at("refunds", show), {"keys": [owed.key], "happened_on": DAY}, follow=True)
    owed.refresh_from_db()
    assert owed.state == Refund.State.DONE
    assert Refund.objects.count() == show.cash_entries.filter(debit="refunds").count() == 1
    assert "Nothing waits to be given back" in text(done)


@pytest.mark.parametrize(("country", "latest"), [("DE", "24 March 2026"), ("US", "19 March 2026")])
def test_each_sum_says_by_when_and_what_is_over(show, owed, ada_client, clock, country, latest):
    owed.pledge.address["country_code"] = country
    owed.pledge.save()
    page = text(ada_client.get(at("refunds", show)))
    assert latest in page and "<strong>over</strong>" not in page
    clock.shift(timedelta(days=15))
    ada_client.force_login(User.objects.get())
    assert "<strong>over</strong>" in text(ada_client.get(at("refunds", show)))


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"happened_on": DAY}, "Tick at least one sum."),
        ({"keys": ["x"], "happened_on": DAY}, "not one of the available choices"),
        ({"keys": ["same"], "happened_on": "2027-01-01"}, "still to come"),
        ({"keys": ["same"], "happened_on": "soon"}, "soon"),
    ],
)
def test_bad_ticks_get_a_sentence_and_book_nothing(show, owed, ada_client, values, sentence):
    Refund.objects.update(key="same")
    assert sentence in text(ada_client.post(at("refunds", show), values))
    assert not show.cash_entries.filter(debit="refunds").exists()


def test_a_sum_sent_another_way(show, owed, ada_client):
    answer = ada_client.post(at("refund_sum", show, owed.key), {"happened_on": DAY, "way": "cash"})
    assert answer.status_code == 302
    owed.refresh_from_db()
    assert (owed.way, owed.entry.credit) == ("cash", "cash")


def test_a_sum_taken_off_the_list(show, owed, ada_client):
    assert ada_client.post(at("not_given", show, owed.key), {"reason": ""}).status_code == 200
    ada_client.post(at("not_given", show, owed.key), {"reason": "She gives it."})
    page = text(ada_client.get(at("refunds", show)))
    assert "Called off" in page
    assert "Not decided yet" in page  # the money is still received for an order that has ended


def test_the_account_is_typed_and_gets_a_code(show, owed, ada_client):
    assert "not known; ask" in text(ada_client.get(at("payment_list", show)))
    wrong = ada_client.post(at("refund_account", show, owed.key), {"account_holder": "B", "iban": "DE00"})
    assert wrong.status_code == 200
    ada_client.post(at("refund_account", show, owed.key), {"account_holder": "Ben B.", "iban": IBAN})
    page = text(ada_client.get(at("payment_list", show)))
    assert "Code for a banking app: €49.90 to Ben B." in page
    assert "data:image/png;base64," in page


def test_a_failed_sum_says_why_and_is_tried_again(show, owed, ada_client):
    Refund.objects.update(way="card", state="failed", last_error="<b>card closed</b>")
    page = text(ada_client.get(at("refunds", show)))
    assert "&lt;b&gt;card closed&lt;/b&gt;" in page
    ada_client.post(at("retry_refund", show, owed.key))
    owed.refresh_from_db()
    assert owed.state == Refund.State.OWED
    assert "To cards" in text(ada_client.get(at("refunds", show)))
    said = text(ada_client.post(at("retry_refund", show, owed.key), follow=True))
    assert "once more" in said


def test_a_surplus_is_put_on_the_list_once(show, ada_client):
    pledge = place(show)
    pay(pledge, amount_minor=pledge.total_minor + 700)
    assert "Not decided yet" in text(ada_client.get(at("refunds", show)))
    form = ada_client.get(at("owe", show, pledge.code)).context["form"]
    assert form.initial["amount_minor"] == 700
    values = {"request_key": str(uuid.uuid4()), "amount_minor": "7.00", "reason": "Paid twice"}
    for _ in range(2):
        ada_client.post(at("owe", show, pledge.code), values)
    assert Refund.objects.get().amount_minor == 700
    too_much = values | {"request_key": str(uuid.uuid4()), "amount_minor": "500"}
    assert "more than came in" in text(ada_client.post(at("owe", show, pledge.code), too_much))
    assert "Not decided yet" not in text(ada_client.get(at("refunds", show)))


def test_money_given_by_hand_leaves_nothing_owed(show, owed, ada_client):
    values = {"request_key": str(uuid.uuid4()), "amount_minor": "49.90", "way": "cash", "happened_on": DAY}
    ada_client.post(at("refund", show, owed.pledge.code), values)
    assert sorted(Refund.objects.values_list("state", flat=True)) == ["called_off", "done"]


def test_the_backer_reads_what_goes_back_and_what_went(show, owed, client, ada_client):
    opened = client.get(reverse("campaign:pledge_link", args=[make_pledge_token(owed.pledge)]), follow=True)
    assert "€49.90 goes back to you by bank transfer" in text(opened)
    ada_client.post(at("refunds", show), {"keys": [owed.key], "happened_on": DAY})
    seen = client.get(reverse("campaign:my_pledge", args=[owed.pledge.code]))
    assert "went back to you on 10 March 2026" in text(seen)


def test_the_minimum_is_set_and_then_fixed(show, ada_client, client):
    page = at("minimum", show)
    assert "There is no minimum" in text(ada_client.get(page))
    ada_client.post(page, {"minimum_minor": "900", "below_minimum": "give_back"})
    words = "If the show does not reach €900.00 of wall money by 1 April 2026, 23:59, it is called off"
    assert words in text(ada_client.get(page))
    assert words in text(client.get(reverse("campaign:show", args=[show.code])))
    assert words in text(client.get(reverse("campaign:order", args=[show.code])))
    place(show)
    assert "so it stays as it is" in text(ada_client.get(page))
    refused = ada_client.post(page, {"minimum_minor": "100", "below_minimum": "give_back"})
    assert "Nothing was changed" in text(refused)
    show.refresh_from_db()
    assert show.minimum_minor == 90_000


@pytest.mark.parametrize("values", [{"minimum_minor": "0", "below_minimum": "give_back"}, {"minimum_minor": "9"}])
def test_a_minimum_that_cannot_be_is_refused_at_its_field(show, ada_client, values):
    answer = ada_client.post(at("minimum", show), values)
    assert answer.status_code == 200
    assert answer.context["form"].errors


def test_closing_below_the_minimum_says_what_it_will_do(show, ada_client):
    set_minimum(show=show, minimum_minor=90_000, below_minimum="give_back")
    pay(place(show))
    assert "all money goes back" in text(ada_client.get(at("close", show)))
    answer = ada_client.post(at("close", show), follow=True)
    show.refresh_from_db()
    assert show.state == Show.State.CALLED_OFF
    assert "called off" in text(answer)


def test_calling_off_shows_the_sums_first_and_wants_the_title(show, ada_client, client):
    pay(place(show))
    place(show, copies=2)
    page = text(ada_client.get(at("call_off_show", show)))
    assert "Paid orders that end</dt><dd>1" in page
    assert "Of all that came, by bank transfer</dt><dd>€49.90" in page
    wrong = ada_client.post(at("call_off_show", show), {"words": "Closed.", "title": "Another"})
    assert "Type it as it stands" in text(wrong)
    for _ in range(2):
        ada_client.post(at("call_off_show", show), {"words": "The gallery <b>closed</b>.", "title": " tideLINE "})
    end_orders(now=NOW)
    assert Job.objects.filter(kind="refunds").count() == 1
    public = text(client.get(reverse("campaign:show", args=[show.code])))
    assert "This show is called off. The gallery &lt;b&gt;closed&lt;/b&gt;. All money goes back." in public
    assert "no more orders are taken" in text(client.get(reverse("campaign:order", args=[show.code])))
    assert "was called off on" in text(ada_client.get(at("call_off_show", show)))
    job = ada_client.get(at("job", show, Job.objects.get(kind="refunds").code))
    assert "2 of 2 done" in text(job)


def test_a_posted_print_leaves_no_way_to_call_off(show, ada_client):
    pay(place(show))
    Copy.objects.filter(number=1).update(is_printed=True, is_posted=True)
    assert "Prints are on their way" in text(ada_client.get(at("call_off_show", show)))
    answer = ada_client.post(at("call_off_show", show), {"words": "x", "title": "Tideline"})
    show.refresh_from_db()
    assert (answer.status_code, show.state) == (200, Show.State.OPEN)


def test_a_draft_cannot_be_called_off(db, ada_client):
    show = make_draft()
    assert "nothing to call off" in text(ada_client.get(at("call_off_show", show)))


@pytest.mark.parametrize("name", ["cash_book", "pledges", "to_send"])
@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_files_are_handed_out_and_not_kept(show, owed, ada_client, name, ending):
    answer = ada_client.get(at(f"{name}_{ending}", show))
    assert answer["Content-Disposition"].startswith("attachment; filename=")
    assert "no-store" in answer["Cache-Control"]
    assert answer.content[:2] == (b"PK" if ending == "xlsx" else b"\xef\xbb")


def test_an_exported_book_is_compared(show, owed, ada_client):
    data = write_export(show=show, what="cash-book", file_format="xlsx").data

    def send(content):
        return ada_client.post(at("compare_book", show), {"file": SimpleUploadedFile("book.xlsx", content)})

    assert "Nothing differs: 1 line in the file, 1 in the book." in text(send(data))
    pay(place(show))
    assert "It differs" in text(send(data))
    assert "damaged" in text(send(b"PK\x03\x04 rubbish"))
    assert "is not there" in text(send(b"<script>alert(1)</script>"))
    assert "This field is required" in text(ada_client.post(at("compare_book", show), {}))

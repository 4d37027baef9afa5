"""The room Fund and the standing page: money booked once, effects told, nothing sent or fixed without asking."""

import re
import uuid

import pytest
from django.urls import reverse

from campaign.models import CashEntry, Job, OutboxMessage, Update
from campaign.outbox import deliver_due
from campaign.services.plans import touch_inputs
from campaign.services.pledges import cancel_pledge, lapse_due_holds
from tests.builders import NOW, make_draft, pay, place
from tests.campaign.views.studio_forms import filled, words_of

pytestmark = pytest.mark.usefixtures("clock")


def open_and_send(client, name, /, *args, **changes):
    """Open a form, type `changes` over it, send it, follow to the next page."""
    url = reverse(f"campaign:{name}", args=args)
    return client.post(url, filled(client.get(url), **changes), follow=True)


def test_the_standing_page_says_where_the_show_is_and_opens_every_figure(ada_client, show):
    for _ in range(4):
        pay(place(show))
    place(show, name="Late Payer", copies=2)
    page = ada_client.get(reverse("campaign:standing", args=["tideline"])).content.decode()
    assert re.search(r"With €[\d.]+ of wall money in hand, \d of 6 works hang", page)
    assert "Received for orders and gifts" in page
    assert "is missing to “" in page
    assert "3 more copies of “Harbour light” would do it (each brings €39.00, postage apart)" in page
    assert "that of Late Payer, on 20 March" in page
    assert "% = " in page
    assert " m² × €24.00 + 10 % waste" in page
    assert "that is proved" in page


def test_the_lines_of_a_work_add_up_to_its_cost(ada_client, show):
    for _ in range(8):
        pay(place(show))
    page = ada_client.get(reverse("campaign:standing", args=["tideline"])).context["page"]
    assert page.works
    for work in page.works:
        assert sum(line.amount_minor for line in work.lines) == work.planned.cost_minor
        assert round(work.need * work.finish_worth * work.factor_percent / 100) == work.planned.worth
    assert sum(work.planned.cost_minor for work in page.works) == page.bill.works_minor
    assert page.bill.total_minor == page.plan.cost_minor
    assert page.plan.cost_minor <= page.standing.in_hand_minor


def test_the_standing_page_takes_22_queries_whatever_hangs(ada_client, show, django_assert_max_num_queries):
    for _ in range(8):
        pay(place(show))
    place(show)
    with django_assert_max_num_queries(22):
        ada_client.get(reverse("campaign:standing", args=["tideline"]))


def test_the_page_says_when_the_staircase_is_older_than_the_last_edit(ada_client, show):
    url = reverse("campaign:standing", args=["tideline"])
    assert b"being worked out again" not in ada_client.get(url).content
    touch_inputs(show)
    assert b"being worked out again" in ada_client.get(url).content


def test_a_show_without_a_staircase_has_a_page(ada_client, db):
    make_draft()
    page = ada_client.get(reverse("campaign:standing", args=["tideline"]))
    assert b"for the first time" in page.content


def test_levels_are_worked_out_before_they_are_kept(ada_client, show):
    changes = {"levels-0-name": "Nearly nothing", "levels-0-money_minor": "40"}
    answer = open_and_send(ada_client, "levels", "tideline", preview="1", **changes)
    first = answer.context["outlook"][0]
    assert (first.name, first.money_minor) == ("Nearly nothing", 4000)
    assert first.cost_minor + first.unused_minor == 4000
    assert not show.levels.filter(name="Nearly nothing").exists()
    answer = open_and_send(ada_client, "levels", "tideline", save="1", **changes)
    assert words_of(answer) == ["The levels are kept; the table says what each of them is."]
    assert show.levels.first().money_minor == 4000


def test_two_levels_at_one_sum_are_refused_at_the_row(ada_client, show):
    answer = open_and_send(ada_client, "levels", "tideline", save="1", **{"levels-1-money_minor": "100"})
    assert answer.context["rows"].forms[1].errors["money_minor"] == ["Another level stands at this sum already."]
    answer = open_and_send(ada_client, "levels", "tideline", save="1", **{"levels-1-money_minor": "0"})
    assert "more than nothing" in answer.context["rows"].forms[1].errors["money_minor"][0]


def test_a_level_is_added_and_another_taken_away_without_script(ada_client, show):
    changes = {"levels-0-DELETE": "on", "levels-3-name": "Wine", "levels-3-money_minor": "700"}
    open_and_send(ada_client, "levels", "tideline", save="1", **changes)
    assert [level.name for level in show.levels.all()] == ["A wall", "The room", "Wine"]


def test_publishing_says_what_is_missing(ada_client, db):
    show = make_draft()
    show.levels.all().delete()
    url = reverse("campaign:publish", args=["tideline"])
    assert words_of(ada_client.post(url, follow=True)) == [
        "There is no level yet. Say first what the show will be at two or three sums."
    ]
    show.levels.create(name="A wall", money_minor=100)
    ada_client.post(url)
    ada_client.post(url)
    show.refresh_from_db()
    assert show.state == "open"


def test_pledges_are_found_by_name_reference_and_state(ada_client, show):
    first, second = place(show, name="Iris Bell"), place(show, name="Noor Haddad")
    pay(second)
    url = reverse("campaign:pledges", args=["tideline"])

    def found(**query):
        return [line.pledge.name for line in ada_client.get(url, query).context["lines"]]

    spaced = " ".join(re.findall("....?", first.reference))
    assert found() == ["Noor Haddad", "Iris Bell"]
    assert found(words=spaced) == ["Iris Bell"]
    assert found(words="haddad") == ["Noor Haddad"]
    assert found(state="held") == ["Iris Bell"]
    assert found(state="held", words="haddad") == []
    assert found(state="nonsense") == ["Noor Haddad", "Iris Bell"]


def test_a_payment_is_booked_once_and_tells_its_effect(ada_client, show):
    pledge = place(show, name="Iris Bell")
    url = reverse("campaign:payment", args=["tideline", pledge.code])
    page = ada_client.get(url)
    assert page.context["form"]["amount_minor"].value() == "49.90"
    data = filled(page)
    (said,) = words_of(ada_client.post(url, data, follow=True))
    assert said.startswith("€49.90 is booked. The order is paid, and a mail says so to Iris Bell.")
    ada_client.post(url, data)
    assert CashEntry.objects.count() == 1
    assert OutboxMessage.objects.filter(name="payment_received").count() == 1


@pytest.mark.parametrize(
    ("amount", "before", "words"),
    [
        ("20", None, "€20.00 is booked. €29.90 is still missing; the copies stay held for Iris."),
        ("60", None, "€60.00 is booked. That is €10.10 more than the order: ask Iris or give it back."),
        ("49,90", "cancelled", "€49.90 is booked, but the order is cancelled: €49.90 is owed back to Iris."),
        (
            "49,90",
            "lapsed",
            "€49.90 is booked. The order had lapsed; its copies are spoken for again. The order is paid",
        ),
        (
            "10",
            "lapsed",
            "€10.00 is booked, but the order had lapsed and this is not all of it: €10.00 is owed back to",
        ),
    ],
)
def test_a_payment_says_what_it_did(ada_client, show, amount, before, words):
    pledge = place(show, name="Iris")
    if before == "cancelled":
        cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    if before == "lapsed":
        lapse_due_holds(now=NOW.replace(day=22))
    answer = open_and_send(ada_client, "payment", "tideline", pledge.code, amount_minor=amount)
    (said,) = words_of(answer)
    assert said.startswith(words)


def test_money_that_makes_no_sense_is_refused_at_the_field(ada_client, show):
    pledge = place(show)
    changes = {"amount_minor": "nothing", "happened_on": "2027-01-01", "fee_minor": "-1"}
    errors = open_and_send(ada_client, "payment", "tideline", pledge.code, **changes).context["form"].errors
    assert set(errors) == {"amount_minor", "happened_on", "fee_minor"}
    errors = open_and_send(ada_client, "payment", "tideline", pledge.code, fee_minor="99").context["form"].errors
    assert errors["fee_minor"] == ["The fee cannot be more than the payment."]
    assert not CashEntry.objects.exists()


def test_money_goes_back_once_and_never_more_than_came(ada_client, show):
    pledge = place(show)
    pay(pledge, amount_minor=6_000)
    url = reverse("campaign:refund", args=["tideline", pledge.code])
    page = ada_client.get(url)
    assert page.context["form"]["amount_minor"].value() == "10.10"
    data = filled(page)
    ada_client.post(url, data)
    ada_client.post(url, data)
    assert CashEntry.objects.filter(key__startswith="refund:").count() == 1
    answer = open_and_send(ada_client, "refund", "tideline", pledge.code, amount_minor="500")
    assert answer.context["form"].non_field_errors()


def test_cancelling_asks_first_and_frees_the_copies(ada_client, show):
    pledge = place(show, copies=2)
    url = reverse("campaign:cancel", args=["tideline", pledge.code])
    ada_client.get(url)
    assert pledge.held_copies.count() == 2
    ada_client.post(url)
    ada_client.post(url)
    assert pledge.held_copies.count() == 0
    assert OutboxMessage.objects.filter(name="pledge_cancelled").count() == 1


def test_the_cash_book_adds_up_and_is_corrected_by_a_new_line(ada_client, show):
    pay(place(show))
    open_and_send(ada_client, "other_money", "tideline", kind="grant", amount_minor="250", text="Town of Example")
    answer = open_and_send(ada_client, "other_money", "tideline", kind="cost", amount_minor="12.50", text="Domain")
    balances = answer.context["balances"]
    assert balances.came_minor - balances.went_minor == balances.held_minor == 4_990 + 25_000 - 1_250
    entry = CashEntry.objects.get(text="Domain")
    answer = open_and_send(ada_client, "correct", "tideline", entry.key, reason="Paid privately")
    assert words_of(answer)[0].startswith("Corrected by a new line.")
    open_and_send(ada_client, "correct", "tideline", entry.key, reason="Twice")
    assert CashEntry.objects.filter(corrects=entry).count() == 1
    assert answer.context["balances"].held_minor == 4_990 + 25_000
    assert b"Give a reason" not in answer.content
    errors = open_and_send(ada_client, "correct", "tideline", entry.key, reason="").context["form"].errors
    assert "reason" in errors


def test_the_same_other_money_sent_twice_is_booked_once(ada_client, show):
    url = reverse("campaign:other_money", args=["tideline"])
    data = filled(ada_client.get(url), kind="own", amount_minor="10", text="Tin")
    ada_client.post(url, data)
    ada_client.post(url, data)
    assert CashEntry.objects.count() == 1
    assert "request_key" in ada_client.post(url, data | {"request_key": "x"}).context["form"].errors


def test_an_update_is_looked_at_kept_tried_and_sent(ada_client, show):
    place(show, email="one@example.org")
    place(show, email="two@example.org")
    url = reverse("campaign:new_update", args=["tideline"])
    preview = ada_client.post(url, {"title": "Proofs", "body": "They are *dry*.", "preview": "1"})
    assert b"<em>dry</em>" in preview.content
    assert not Update.objects.exists()
    ada_client.post(url, {"title": "Proofs", "body": "They are *dry*.", "save": "1"})
    update = Update.objects.get()
    args = ["tideline", update.code]
    ada_client.post(reverse("campaign:trial", args=args))
    assert OutboxMessage.objects.get(name="update_news").recipient == "studio@example.org"
    send = reverse("campaign:send_update", args=args)
    assert b"Send it to 2 people" in ada_client.get(send).content
    answer = ada_client.post(send, follow=True)
    assert answer.headers["Refresh"] == "2"
    assert "Refresh" not in ada_client.get(f"{answer.request['PATH_INFO']}?still").headers
    ada_client.post(send)
    assert Job.objects.count() == 1
    assert b"Call it off" in answer.content


def test_a_batch_that_was_called_off_can_be_rewritten_and_sent(ada_client, show):
    place(show)
    update = Update.objects.create(show=show, title="Old", body="Old words", written_at=NOW)
    args = ["tideline", update.code]
    ada_client.post(reverse("campaign:send_update", args=args))
    (said,) = words_of(
        ada_client.post(reverse("campaign:call_off", args=["tideline", Job.objects.get().code]), follow=True)
    )
    assert said == "Called off: 1 mail stays here."
    answer = open_and_send(ada_client, "update_sheet", *args, body="New words", save="1")
    assert words_of(answer) == ["Kept. Nobody has got it yet."]
    ada_client.post(reverse("campaign:send_update", args=args))
    message = OutboxMessage.objects.get(name="update_news")
    assert "New words" in message.text
    assert message.state == "pending"


def test_the_artist_decides_about_a_mail_nobody_can_be_sure_of(ada_client, show):
    place(show)
    update = Update.objects.create(show=show, title="T", body="B", written_at=NOW)
    ada_client.post(reverse("campaign:send_update", args=["tideline", update.code]))
    news = OutboxMessage.objects.filter(name="update_news")
    news.update(state="unknown")
    job = reverse("campaign:job", args=["tideline", Job.objects.get().code])
    assert b"may or may not have gone out" in ada_client.get(job).content
    url = reverse("campaign:settle_message", args=["tideline", news.get().uid])
    ada_client.post(url, {"again": "1"})
    assert news.get().state == "pending"
    news.update(state="unknown")
    ada_client.post(url, {"sent": "1"})
    assert news.get().state == "sent"
    assert ada_client.post(reverse("campaign:settle_message", args=["tideline", uuid.uuid4()])).status_code == 404


def test_mails_can_be_read_where_no_mail_server_is(ada_client, show, settings, tmp_path):
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = "django.core.mail.backends.filebased.EmailBackend", tmp_path
    place(show, email="one@example.org")
    deliver_due(now=NOW)
    page = ada_client.get(reverse("campaign:mails", args=["tideline"])).content.decode()
    assert "reach nobody" in page
    assert "one@example.org" in page
    assert "10 March 2026, 13:00 CET" in page


def test_closing_says_what_it_fixes_and_fixes_it_once(ada_client, show):
    for _ in range(6):
        pay(place(show))
    place(show, copies=2)
    url = reverse("campaign:close", args=["tideline"])
    page = ada_client.get(url).content.decode()
    assert "1 order for €94.90" in page
    show.refresh_from_db()
    assert show.state == "open"
    answer = ada_client.post(url, follow=True)
    assert "The campaign is closed and the plan is fixed: " in answer.content.decode()
    ada_client.post(url)
    show.refresh_from_db()
    assert show.state == "closed"
    assert show.fixed_plan.plan["works"]
    pay(place_late(show))
    assert answer.context["page"].plan.cost_minor == show.fixed_plan.cost_minor


def place_late(show):
    """The order that was open when the campaign closed."""
    return show.pledges.get(state="held")

"""One person's data: handed over whole, removed whole, and never while an order still needs it."""

import json
from datetime import date, timedelta

import pytest
from django.core.management import call_command
from django.db import connection

from campaign.errors import NotReady
from campaign.measures.dates import months_later
from campaign.models import CashEntry, Erasure, OutboxMessage, Paper, Pledge, Suppression
from campaign.services.checks.stock import check_waiters
from campaign.services.people import erase_finished_shows, hash_address
from campaign.services.pledges import cancel_pledge
from campaign.services.refunds import call_off_refund
from campaign.services.updates import stop_news
from fulfilment.models import Certificate, Parcel
from fulfilment.services.certificates import issue_certificates
from fulfilment.services.parcels import mark_posted
from fulfilment.services.people import erase_again, erase_person, forget_old, forget_parcels, read_person
from tests.builders import NOW, make_draft, pay, place, wait
from tests.fulfilment.scene import LATER, close, end, order, print_all, work

WHO = {"name": "Quirina Testfall", "email": "quirina@example.org", "message": "Hang them high", "wants_updates": True}
AFTER = LATER + timedelta(days=400)


def posted_show(show, *, others=1):
    """A show whose parcels are all posted; one of them is Quirina's."""
    pledge = order(show, **WHO)
    for _ in range(others):
        order(show)
    close(show)
    print_all(show)
    work(end(show))
    codes = Parcel.objects.filter(show=show).values_list("code", flat=True)
    mark_posted(show=show, tracking=dict.fromkeys(codes, ""), now=LATER)
    return pledge


def everything_as_text():
    """Every value of every row in the database, in one text."""
    words = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')
            words.extend(str(value) for row in cursor.fetchall() for value in row)
    return "\n".join(words).casefold()


def test_a_person_is_told_all_that_is_kept(show):
    pledge = posted_show(show)
    issue_certificates(edition=show.editions.get(), numbers=(), now=LATER)
    told = read_person("  Quirina@example.org ")
    assert [one["order"] for one in told["orders"]] == [pledge.code]
    assert told["orders"][0]["name"] == "Quirina Testfall"
    assert told["orders"][0]["message"] == "Hang them high"
    assert told["orders"][0]["money"][0]["amount_minor"] == pledge.total_minor
    assert [one["copy"] for one in told["certificates"]] == [1]
    assert told["certificates"][0]["code"] == Certificate.objects.get(pledge=pledge).code
    assert told["parcels"][0]["address"]["street_address"] == "Musterweg 12"
    assert {mail["name"] for mail in told["mails"]} == {"pledge_placed", "payment_received"}
    assert json.loads(json.dumps(told)) == told


def test_of_a_stranger_nothing_is_told(show):
    order(show, **WHO)
    told = read_person("nobody@example.org")
    assert not any(told[key] for key in told if key != "email")


def test_nothing_of_an_erased_person_is_left_in_any_table(show, engine):
    engine("plain")
    pledge = posted_show(show, others=0)
    stop_news(pledge=pledge, now=LATER)
    assert "quirina" in everything_as_text()
    erased = erase_person(email="QUIRINA@example.org", reason="asked", now=LATER)
    assert erased.orders == 1
    left = everything_as_text()
    assert "quirina" not in left
    assert "musterweg" not in left
    assert "hang them high" not in left


def test_sums_numbers_and_cash_book_stay_and_agree(show, engine):
    engine("plain")
    pledge = posted_show(show)
    before = list(CashEntry.objects.values_list("pk", "amount_minor", "text"))
    erase_person(email=WHO["email"], reason="asked", now=LATER)
    after = Pledge.objects.get(pk=pledge.pk)
    assert (after.state, after.total_minor, after.copies) == (pledge.state, pledge.total_minor, pledge.copies)
    assert after.erased_at == LATER
    assert list(CashEntry.objects.values_list("pk", "amount_minor", "text")) == before
    call_command("verify")


def test_papers_go_with_the_last_parcel_of_their_job(show, engine):
    engine("plain")
    posted_show(show, others=1)
    assert Paper.objects.exists()
    erase_person(email=WHO["email"], reason="asked", now=LATER)
    assert Paper.objects.exists()  # the other parcel's person is still there
    other = Pledge.objects.exclude(email="").get()
    erase_person(email=other.email, reason="asked", now=LATER)
    assert not Paper.objects.exists()


def test_erasing_twice_finds_nothing_more(show, engine):
    engine("plain")
    posted_show(show)
    erase_person(email=WHO["email"], reason="asked", now=LATER)
    again = erase_person(email=WHO["email"], reason="asked", now=LATER)
    assert (again.orders, again.mails, again.waiting) == (0, 0, 0)
    assert Erasure.objects.count() == 1
    assert forget_parcels() == 0


def test_an_erasure_knows_which_address_was_meant_without_holding_it(show, engine):
    engine("plain")
    posted_show(show)
    erase_person(email=WHO["email"], reason="asked", now=LATER)
    kept = Erasure.objects.get()
    assert kept.email_hash == hash_address("quirina@EXAMPLE.org ")
    assert "@" not in kept.email_hash


@pytest.mark.parametrize("paid", [False, True])
def test_an_order_that_is_not_finished_keeps_its_person(show, paid):
    pledge = place(show, **WHO)
    if paid:
        pay(pledge)
    with pytest.raises(NotReady) as refused:
        erase_person(email=WHO["email"], reason="asked", now=NOW)
    assert pledge.code in refused.value.sentence
    assert Pledge.objects.get(pk=pledge.pk).name == WHO["name"]


def test_money_owed_back_keeps_its_person(show):
    pledge = order(show, **WHO)
    cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    with pytest.raises(NotReady, match="owed back"):
        erase_person(email=WHO["email"], reason="asked", now=NOW)


def test_a_cancelled_order_lets_its_person_go_and_unsent_mail_is_dropped(show):
    pledge = place(show, **WHO)
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    erase_person(email=WHO["email"], reason="asked", now=NOW)
    assert set(OutboxMessage.objects.values_list("state", flat=True)) == {"dropped"}
    assert not Suppression.objects.exists()


def test_others_are_left_alone(show):
    cancel_pledge(pledge=place(show, **WHO), by_backer=True, now=NOW)
    other = place(show, email="quirina@example.org.invalid", name="Somebody Else")
    erase_person(email=WHO["email"], reason="asked", now=NOW)
    assert Pledge.objects.get(pk=other.pk).email == other.email
    assert OutboxMessage.objects.get(recipient=other.email).text


def test_an_old_show_forgets_its_people_after_the_months_the_artist_set(show, engine):
    engine("plain")
    posted_show(show)
    show.last_day_on, show.keep_addresses_months = date(2026, 6, 30), 3
    show.save()
    early = LATER.replace(month=9, day=29)
    assert forget_old(now=early) == 0
    assert forget_old(now=early.replace(day=30)) == 2
    assert forget_old(now=early.replace(day=30)) == 0
    assert not Pledge.objects.exclude(email="").exists()
    assert not Parcel.objects.exclude(email="").exists()


def test_an_unfinished_order_of_an_old_show_waits_and_the_others_go(show):
    cancel_pledge(pledge=place(show, **WHO), by_backer=True, now=NOW)
    waiting = place(show)
    assert erase_finished_shows(now=AFTER + timedelta(days=400)) == 1
    assert Pledge.objects.get(pk=waiting.pk).email


def test_people_who_come_back_with_an_old_backup_are_removed_again(show):
    pledge = place(show, **WHO)
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    assert erase_again([pledge.code, "NOSUCHORDER"], now=LATER) == 1
    assert erase_again([pledge.code], now=LATER) == 0
    assert "quirina" not in everything_as_text()


@pytest.mark.parametrize(
    ("day", "months", "wanted"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2026, 11, 30), 1, date(2026, 12, 30)),
        (date(2026, 12, 31), 2, date(2027, 2, 28)),
        (date(2026, 5, 15), 0, date(2026, 5, 15)),
        (date(2026, 5, 31), 12, date(2027, 5, 31)),
        (date(2026, 10, 31), 1, date(2026, 11, 30)),
    ],
)
def test_months_later_is_the_same_day_or_the_months_last(day, months, wanted):
    assert months_later(day, months) == wanted


def test_a_parcel_whose_order_was_cancelled_forgets_its_person_too(show, engine):
    engine("plain")
    pledge = order(show, **WHO)
    order(show)
    close(show)
    print_all(show)
    work(end(show))
    cancel_pledge(pledge=pledge, by_backer=False, now=LATER)
    for refund in pledge.refunds.all():
        call_off_refund(refund=refund, reason="kept", now=LATER)
    erase_person(email=WHO["email"], reason="asked", now=LATER)
    left = everything_as_text()
    assert "quirina" not in left


def test_money_that_came_after_the_end_keeps_its_person(show):
    pledge = place(show, **WHO)
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    pay(pledge)
    with pytest.raises(NotReady):
        erase_person(email=WHO["email"], reason="asked", now=NOW)


def test_a_place_in_a_waiting_list_loses_its_person_and_its_offer_goes_on(db):
    show = make_draft(state="open", copies=1)
    ordered = place(show)
    first, second = wait(show, email="quirina@example.org"), wait(show)
    cancel_pledge(pledge=ordered, by_backer=True, now=NOW)
    assert read_person("quirina@example.org")["waiting_list"][0]["state"] == "offered"
    assert erase_person(email="Quirina@example.org", reason="asked", now=NOW).waiting == 1
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.email, first.state, second.state) == ("", "left", "offered")
    assert "quirina" not in everything_as_text()
    assert Erasure.objects.get().pledge_code == first.code
    assert check_waiters().difference is None


def test_a_place_that_comes_back_with_an_old_backup_is_removed_again(db):
    show = make_draft(state="open", copies=1)
    place(show)
    waiter = wait(show, email="quirina@example.org")
    erase_again([waiter.code], now=LATER)
    erase_again([waiter.code], now=LATER)
    waiter.refresh_from_db()
    assert (waiter.email, waiter.state, Erasure.objects.count()) == ("", "left", 1)
    assert "quirina" not in everything_as_text()


def test_places_of_an_old_show_lose_their_people(db):
    show = make_draft(state="open", copies=1)
    place(show)
    waiter = wait(show, email="quirina@example.org")
    forget_old(now=AFTER + timedelta(days=400))
    waiter.refresh_from_db()
    assert (waiter.email, waiter.state) == ("", "left")
    assert "quirina" not in everything_as_text()

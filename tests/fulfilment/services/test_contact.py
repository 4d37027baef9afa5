"""A corrected e-mail address: everything goes to the new one, nothing of the old one opens anything or is kept."""

import pytest
from django.db import connection
from django.http import Http404

from campaign.access import get_pledge_by_token, make_pledge_token
from campaign.errors import NotReady, OverLimit
from campaign.models import Bounce, Job, OutboxMessage, Pledge, Suppression, Waiter
from campaign.services import updates
from campaign.services.checks import CHECKS
from campaign.services.people import erase_finished_shows, erase_person
from campaign.services.pledges import cancel_pledge
from fulfilment.models import Parcel
from fulfilment.services.contact import correct_email
from tests.builders import NOW, pay, place
from tests.fulfilment.scene import LATER, close, end, order, print_all, work

WRONG, RIGHT = "mray@example.org", "mary@example.org"


def correct(pledge, email=RIGHT):
    return correct_email(pledge=pledge, email=email, now=NOW)


def everything_as_text():
    words = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')
            words.extend(str(value) for row in cursor.fetchall() for value in row)
    return "\n".join(words).casefold()


def test_mail_goes_to_the_new_address_with_a_link_that_alone_opens_the_order(show):
    pledge = place(show, email=WRONG)
    old = make_pledge_token(pledge)
    assert correct(pledge)
    pledge.refresh_from_db()
    assert pledge.email == RIGHT
    message = OutboxMessage.objects.get(name="email_corrected")
    assert message.recipient == RIGHT
    token = message.text.partition("/m/")[2].split("/")[0]
    assert get_pledge_by_token(token) == pledge
    with pytest.raises(Http404):
        get_pledge_by_token(old)


def test_the_same_address_again_changes_and_mails_nothing(show):
    pledge = place(show, email=WRONG)
    assert [correct(pledge), correct(pledge), correct(pledge, f" {RIGHT} ")] == [True, False, False]
    assert OutboxMessage.objects.filter(name="email_corrected").count() == 1
    assert Pledge.objects.get().link_version == 2


@pytest.mark.parametrize("state", ["pending", "stuck", "unknown"])
def test_mail_that_has_not_gone_out_does_not_go_to_the_old_address(show, state):
    pledge, other = place(show, email=WRONG), place(show, email="other@example.org")
    OutboxMessage.objects.update(state=state)
    correct(pledge)
    states = dict(OutboxMessage.objects.values_list("recipient", "state"))
    assert states == {WRONG: "dropped", RIGHT: "pending", other.email: state}


def test_who_wanted_no_news_still_wants_none_and_nothing_else_is_kept_of_the_old_address(show):
    pledge = place(show, email=WRONG)
    updates.send_update(update=updates.write_update(show=show, update=None, title="T", body="B", now=NOW), now=NOW)
    updates.stop_news(pledge=pledge, now=NOW)
    Bounce.objects.create(email=WRONG.upper(), kind="hard", report_hash="x", read_at=NOW)
    correct(pledge)
    assert [one.email for one in Suppression.objects.all()] == [RIGHT]
    assert not Bounce.objects.exists()
    assert not OutboxMessage.objects.filter(recipient__iexact=WRONG, name="update_news").exists()
    assert OutboxMessage.objects.get(name="update_news").state == "dropped"


def test_an_address_that_is_also_somebody_elses_keeps_what_is_known_of_it(show):
    pledge = place(show, email=WRONG)
    place(show, email=WRONG)
    Bounce.objects.create(email=WRONG, kind="hard", report_hash="x", read_at=NOW)
    correct(pledge)
    assert Bounce.objects.count() == 1
    assert Pledge.objects.filter(email=WRONG).count() == 1


def test_the_limit_for_one_person_holds_for_the_new_address_too(show):
    place(show, email=RIGHT, copies=2)
    pledge = place(show, email=WRONG, copies=2)
    with pytest.raises(OverLimit) as refusal:
        correct(pledge)
    assert (refusal.value.limit, refusal.value.already) == (3, 2)
    pledge.refresh_from_db()
    assert (pledge.email, pledge.link_version) == (WRONG, 1)
    assert correct(pledge, "MRAY@example.org")


def test_an_ended_order_may_be_corrected_for_the_money_that_goes_back(show):
    pledge = place(show, email=WRONG)
    pay(pledge)
    pledge = cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    assert correct(pledge)
    assert "It was cancelled." in OutboxMessage.objects.get(name="email_corrected").text


def test_nobody_can_be_found_again_under_an_erased_order(show):
    pledge = cancel_pledge(pledge=place(show, email=WRONG), by_backer=True, now=NOW)
    erase_person(email=WRONG, reason="asked", now=NOW)
    with pytest.raises(NotReady):
        correct(pledge)


@pytest.mark.parametrize(
    ("prepare", "words", "others"),
    [
        (lambda pledge: None, "€49.90", ["It is paid"]),
        (lambda pledge: pay(pledge, amount_minor=1_000), "€39.90", ["It is paid"]),
        (pay, "It is paid", ["IBAN", "waits for its payment"]),
    ],
)
def test_the_mail_says_what_is_still_to_pay(show, prepare, words, others):
    pledge = place(show, email=WRONG)
    prepare(pledge)
    correct(pledge)
    message = OutboxMessage.objects.get(name="email_corrected")
    for part in (message.text, message.html):
        assert words in part
        assert not any(other in part for other in others)


def test_a_place_on_the_waiting_list_that_became_the_order_goes_along(show):
    pledge = place(show, email=WRONG)
    Waiter.objects.create(
        edition=show.editions.get(), name="Mary", email=WRONG, state="taken", pledge=pledge, asked_at=NOW, ended_at=NOW
    )
    correct(pledge)
    assert Waiter.objects.get().email == RIGHT


def test_a_parcel_that_is_packed_is_told_of_to_the_new_address(show, engine):
    engine("plain")
    pledge = order(show, email=WRONG)
    order(show)
    close(show)
    print_all(show)
    work(end(show))
    assert correct_email(pledge=pledge, email=RIGHT, now=LATER)
    assert sorted(Parcel.objects.values_list("email", flat=True)).count(RIGHT) == 1
    assert not Parcel.objects.filter(email=WRONG).exists()
    for check in CHECKS:
        assert not check().difference


def test_an_address_of_old_goes_with_its_show_news_reports_and_all(show):
    pledge = place(show, email="quirina@example.org")
    updates.send_update(update=updates.write_update(show=show, update=None, title="T", body="B", now=NOW), now=NOW)
    updates.stop_news(pledge=pledge, now=NOW)
    Bounce.objects.create(email="Quirina@example.org", kind="hard", report_hash="x", read_at=NOW)
    Waiter.objects.create(
        edition=show.editions.get(), name="Wanda", email="wanda@example.org", state="left", asked_at=NOW, ended_at=NOW
    )
    Bounce.objects.create(email="wanda@example.org", kind="soft", report_hash="y", read_at=NOW)
    Suppression.objects.create(show=show, email="wanda@example.org", created_at=NOW)
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    assert Job.objects.exists()
    assert erase_finished_shows(now=LATER.replace(year=2028)) == 1
    left = everything_as_text()
    assert "quirina" not in left and "wanda" not in left

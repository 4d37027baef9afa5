"""The backer's way to the processor's page and back, the door for its messages, the studio's page about cards."""

import re
from datetime import timedelta

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.utils import timezone

from campaign.access import make_pledge_token
from campaign.models import CardPayment, CashEntry, Pledge, ProcessorEvent, Reconciliation, Studio
from campaign.services.card_events import apply_events
from campaign.services.card_reconciling import reconcile_due
from campaign.tasks import cards
from tests.builders import NOW, make_draft, place
from tests.campaign.views.order_flow import place_through_pages
from tests.card_stand_in import StandIn

pytestmark = [pytest.mark.django_db]
MESSAGES = "/cards/messages"


@pytest.fixture
def show(db):
    return make_draft(state="open")


@pytest.fixture
def pledge(show, stand_in, clock):
    return place(show, way="card")


@pytest.fixture
def visitor(client, pledge):
    client.get(f"/m/{make_pledge_token(pledge)}/")
    return client


def tell(client, event, *, url=MESSAGES, **changes):
    body, signature = StandIn.message(event, **changes)
    return client.post(url, data=body, content_type="application/json", headers={"Stripe-Signature": signature})


def text_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def test_cards_are_a_way_of_the_order_form_once_the_artist_wants_them(show, stand_in, client, clock):
    url = "/show/tideline/order/?country=DE"
    assert 'value="card"' in client.get(url).content.decode()
    response = place_through_pages(client, clock, way="card")
    assert response.status_code == 302
    assert Pledge.objects.get().way == "card"
    assert "Pay by card" in text_of(client.get(response.url))
    Studio.objects.update(takes_cards=False)
    assert 'value="card"' not in client.get(url).content.decode()
    page = text_of(client.get(f"/my/{Pledge.objects.get().code}/"))
    assert "Cards cannot be taken just now" in page
    assert "DE89 3704 0044 0532 0130 00" in page, "and how else to pay"


def test_the_button_leads_to_the_hosted_page_and_the_page_may_send_the_browser_there(visitor, pledge, stand_in):
    page = visitor.get(f"/my/{pledge.code}/")
    assert page.content.decode().count("Pay by card</button>") == 1
    response = visitor.post(f"/my/{pledge.code}/card/")
    [session] = stand_in.sessions.values()
    assert (response.status_code, response.url) == (302, session["url"])
    assert session["success_url"] == f"http://127.0.0.1:8000/my/{pledge.code}/card/back/"
    assert session["cancel_url"] == f"http://127.0.0.1:8000/my/{pledge.code}/"
    assert visitor.post(f"/my/{pledge.code}/card/").url == session["url"], "twice is once"


def test_the_page_of_another_order_and_strangers_are_kept_out(client, visitor, pledge, show, cleo_client):
    other = place(show, way="card")
    for path in ("card/", "card/back/"):
        method = "post" if path == "card/" else "get"
        assert getattr(visitor, method)(f"/my/{other.code}/{path}").status_code == 403
        assert getattr(Client(), method)(f"/my/{pledge.code}/{path}").status_code == 403
    assert CardPayment.objects.count() == 0


def test_wrong_methods_and_missing_tokens_do_nothing(visitor, pledge):
    assert visitor.get(f"/my/{pledge.code}/card/").status_code == 405
    assert visitor.post(f"/my/{pledge.code}/card/back/").status_code == 405
    assert visitor.get(MESSAGES).status_code == 405
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = visitor.cookies
    assert strict.post(f"/my/{pledge.code}/card/").status_code == 403
    assert CardPayment.objects.count() == 0


@pytest.mark.parametrize("kind", ["500", "500_after", "timeout", "reset", "429"])
def test_a_processor_that_does_not_answer_is_said_with_what_was_and_was_not_done(visitor, pledge, stand_in, kind):
    stand_in.fail_next(kind)
    response = visitor.post(f"/my/{pledge.code}/card/")
    assert response.status_code == 503
    page = text_of(response)
    assert "nothing was taken from a card" in page
    assert "stay held for you" in page
    assert "DE89 3704 0044 0532 0130 00" in page
    assert visitor.post(f"/my/{pledge.code}/card/").status_code == 302
    assert CardPayment.objects.filter(state="open").count() == 1


def test_the_way_back_believes_nothing_but_the_row(visitor, pledge, stand_in):
    back = f"/my/{pledge.code}/card/back/"
    assert visitor.get(back).status_code == 302, "nothing was begun"
    visitor.post(f"/my/{pledge.code}/card/")
    for query in ("", "?paid=1", "?session_id=cs_test_invented"):
        page = visitor.get(back + query)
        assert "being confirmed" in text_of(page)
        assert page["Refresh"] == "3"
    assert "Refresh" not in visitor.get(f"{back}?still")
    pledge.refresh_from_db()
    assert (pledge.state, CashEntry.objects.count()) == ("held", 0)
    stand_in.pay(CardPayment.objects.get().session_id)
    assert "being confirmed" in text_of(visitor.get(back))
    assert tell(visitor, stand_in.events[-1]).status_code == 200
    assert "being confirmed" in text_of(visitor.get(back)), "kept, and not yet applied"
    apply_events(now=NOW)
    response = visitor.get(back)
    assert (response.status_code, response.url) == (302, f"/my/{pledge.code}/")
    assert "Paid." in text_of(visitor.get(response.url))


def test_a_page_that_brought_a_part_only_does_not_wait_for_ever(visitor, pledge, stand_in):
    visitor.post(f"/my/{pledge.code}/card/")
    stand_in.pay(CardPayment.objects.get().session_id, amount=1_000)
    tell(visitor, stand_in.events[-1])
    apply_events(now=NOW)
    response = visitor.get(f"/my/{pledge.code}/card/back/")
    assert (response.status_code, response.url) == (302, f"/my/{pledge.code}/")
    assert "€39.90 still to pay" in text_of(visitor.get(response.url))
    assert visitor.post(f"/my/{pledge.code}/card/").status_code == 302
    assert [session["amount_total"] for session in stand_in.sessions.values()] == [1_000, 3_990]


def test_a_paid_order_has_no_button_and_opens_no_page(visitor, pledge, stand_in):
    visitor.post(f"/my/{pledge.code}/card/")
    stand_in.pay(CardPayment.objects.get().session_id)
    assert visitor.post(f"/my/{pledge.code}/card/").url == f"/my/{pledge.code}/card/back/"
    assert "Pay by card" not in text_of(visitor.get(f"/my/{pledge.code}/"))
    assert visitor.post(f"/my/{pledge.code}/card/").status_code == 302
    assert len(stand_in.sessions) == 1


def test_messages_are_kept_and_answered(client, stand_in, clock):
    event = stand_in.tell("checkout.session.completed", {"id": "cs_test_1", "object": "checkout.session"})
    assert [tell(client, event).status_code for _ in range(3)] == [200, 200, 200]
    assert ProcessorEvent.objects.count() == 1


def test_messages_that_are_forged_stale_or_unsigned_are_refused(client, stand_in, clock):
    event = stand_in.tell("checkout.session.completed", {"id": "cs_test_1", "object": "checkout.session"})
    assert tell(client, event, secret="whsec_forged").status_code == 400
    assert tell(client, event, age_s=301).status_code == 400
    assert client.post(MESSAGES, data=b"{}", content_type="application/json").status_code == 400
    body, signature = StandIn.message(event)
    spoiled = body.replace(b"cs_test_1", b"cs_test_2")
    headers = {"Stripe-Signature": signature}
    assert client.post(MESSAGES, data=spoiled, content_type="application/json", headers=headers).status_code == 400
    assert ProcessorEvent.objects.count() == 0


def test_a_message_needs_no_token_of_ours_and_no_cookie(stand_in, clock):
    event = stand_in.tell("payout.paid", {"id": "po_1", "object": "payout"})
    response = tell(Client(enforce_csrf_checks=True), event)
    assert response.status_code == 200
    assert not response.cookies


def test_a_long_message_is_refused_unread(client, stand_in):
    for size, status in ((64 * 1024, 400), (64 * 1024 + 1, 413), (3_000_000, 413)):
        assert client.post(MESSAGES, data=b"x" * size, content_type="application/json").status_code == status


def test_a_message_that_cannot_be_kept_comes_again(stand_in, clock):
    def refuse(execute, sql, params, many, context):
        if sql.startswith("INSERT INTO"):
            raise OperationalError("disk full")
        return execute(sql, params, many, context)

    event = stand_in.tell("payout.paid", {"id": "po_1", "object": "payout"})
    browser = Client(raise_request_exception=False)
    with connection.execute_wrapper(refuse):
        assert tell(browser, event).status_code == 500
    assert tell(browser, event).status_code == 200
    assert ProcessorEvent.objects.count() == 1


def test_without_keys_there_is_no_door_for_messages(client, db):
    assert client.post(MESSAGES, data=b"{}", content_type="application/json").status_code == 404


def test_the_studio_sees_what_came_and_what_differs(ada, visitor, pledge, stand_in, show):
    ada_client = Client()
    ada_client.force_login(ada)
    visitor.post(f"/my/{pledge.code}/card/")
    payment_id = stand_in.pay(CardPayment.objects.get().session_id)
    tell(visitor, stand_in.events[-1])
    cards()
    stand_in.dispute(payment_id)
    url = f"/studio/{show.code}/fund/cards/"
    assert ada_client.post(f"{url}compare/").status_code == 302
    assert "A comparison is under way" in text_of(ada_client.get(url))
    assert ada_client.post(f"{url}compare/").status_code == 302
    assert Reconciliation.objects.filter(finished_at=None).count() == 1
    cards()
    page = text_of(ada_client.get(url))
    assert "Compared with the processor" in page
    assert "1 thing differs" in page
    assert "waits for your answer" in page
    assert pledge.name in page
    for figure in ("€49.90", "€1.00", "not before", "12 March 2026"):
        assert figure in page


def test_the_studio_says_when_no_keys_are_there(ada_client, show):
    page = text_of(ada_client.get(f"/studio/{show.code}/fund/cards/"))
    assert "no keys of a card processor" in page
    assert ada_client.post(f"/studio/{show.code}/fund/cards/compare/").status_code == 302
    assert Reconciliation.objects.count() == 0


def test_the_page_asks_the_database_little_however_many_paid(
    ada_client, show, stand_in, clock, django_assert_max_num_queries
):
    for number in range(12):
        pledge = place(show, way="card", copies=0, gift_minor=1_000 + number)
        CardPayment.objects.create(
            pledge=pledge, amount_minor=1_000, currency="EUR", state="paid", session_id=f"cs_{number}", created_at=NOW
        )
    with django_assert_max_num_queries(24):
        ada_client.get(f"/studio/{show.code}/fund/cards/")


def test_the_daily_comparison_runs_by_itself(pledge, stand_in):
    now = timezone.now()
    assert reconcile_due(now=now) == 0, "no card payment yet"
    CardPayment.objects.create(pledge=pledge, amount_minor=1, currency="EUR", state="failed", created_at=now)
    assert [reconcile_due(now=now), reconcile_due(now=now)] == [1, 0]
    assert reconcile_due(now=now + timedelta(hours=25)) == 1

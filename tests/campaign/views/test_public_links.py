"""Send me my link, and no more news: the same answer for everybody, and safe to repeat."""

from typing import Any

import pytest
from django.test import Client

from campaign.access import make_news_token
from campaign.models import LinkRequest, OutboxMessage, Show
from campaign.services.links import answer_link_requests
from tests.builders import NOW, place
from tests.campaign.views.order_flow import hidden

pytestmark = pytest.mark.django_db
URL = "/show/tideline/send-link/"


def ask(client: Any, clock: Any, email: str, **changes: str) -> Any:
    fields = hidden(client.get(URL))
    clock.shift(5)
    return client.post(URL, fields | {"email": email} | changes)


def links_sent() -> list[str]:
    return list(OutboxMessage.objects.filter(name="link_again").values_list("recipient", flat=True))


def test_known_and_unknown_addresses_get_the_same_answer(
    client: Any, show: Show, clock: Any, django_assert_num_queries: Any
) -> None:
    place(show, email="mary@example.org")
    ask(client, clock, "first@example.org")  # so that both answers below start from the same cookies
    known, unknown = ask(client, clock, "mary@example.org"), ask(client, clock, "nobody@example.org")
    assert known.status_code == unknown.status_code == 200
    assert known.content == unknown.content
    assert LinkRequest.objects.count() == 3


def test_known_and_unknown_addresses_are_the_same_work(
    client: Any, show: Show, clock: Any, django_assert_num_queries: Any
) -> None:
    place(show, email="mary@example.org")
    fields = hidden(client.get(URL))
    clock.shift(5)
    for email in ("mary@example.org", "nobody@example.org"):
        with django_assert_num_queries(6):
            client.post(URL, fields | {"email": email})


def test_link_goes_to_the_address_of_the_order_alone(client: Any, show: Show, clock: Any) -> None:
    place(show, email="mary@example.org")
    ask(client, clock, "MARY@example.org")
    ask(client, clock, "nobody@example.org")
    assert answer_link_requests(now=NOW) == 1
    assert links_sent() == ["mary@example.org"]
    assert not LinkRequest.objects.exists()


def test_asking_again_within_the_hour_sends_one_mail(client: Any, show: Show, clock: Any) -> None:
    place(show, email="mary@example.org")
    for _ in range(2):
        ask(client, clock, "mary@example.org")
        answer_link_requests(now=NOW)
    assert len(links_sent()) == 1


def test_every_order_of_an_address_gets_its_link(client: Any, show: Show, clock: Any) -> None:
    place(show, email="mary@example.org")
    place(show, email="mary@example.org", copies=0)
    ask(client, clock, "mary@example.org")
    assert answer_link_requests(now=NOW) == 2


def test_too_many_questions_wait(client: Any, show: Show, clock: Any) -> None:
    codes = [ask(client, clock, "mary@example.org").status_code for _ in range(7)]
    assert codes == [200] * 6 + [429]


def test_programs_are_refused(client: Any, show: Show, clock: Any) -> None:
    assert "must stay empty" in ask(client, clock, "mary@example.org", website="x").content.decode()
    fields = hidden(client.get(URL))
    assert "faster than anybody" in client.post(URL, fields | {"email": "mary@example.org"}).content.decode()
    assert not LinkRequest.objects.exists()


def test_address_that_is_none_is_said_at_the_field(client: Any, show: Show, clock: Any) -> None:
    assert "not an e-mail address" in ask(client, clock, "mary").content.decode()


@pytest.fixture
def news_url(show: Show, clock: Any) -> str:
    return f"/u/{make_news_token(place(show, email='mary@example.org'))}/"


def test_opening_the_unsubscribe_page_changes_nothing(client: Any, news_url: str, show: Show) -> None:
    html = client.get(news_url).content.decode()
    assert "No more updates, please" in html and "mary@example.org" not in html
    assert not show.suppressions.exists()


def test_mail_program_unsubscribes_without_cookie_or_token(news_url: str, show: Show) -> None:
    bare = Client(enforce_csrf_checks=True)
    for _ in range(2):
        response = bare.post(news_url, "List-Unsubscribe=One-Click", content_type="application/x-www-form-urlencoded")
        assert response.status_code == 200 and not response.cookies
    assert [s.email for s in show.suppressions.all()] == ["mary@example.org"]


def test_forged_unsubscribe_link_is_not_there(client: Any, show: Show) -> None:
    assert client.post("/u/forged/").status_code == 404

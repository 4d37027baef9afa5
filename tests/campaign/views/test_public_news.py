"""News for everybody: each piece at its address, all by month, a feed that costs nothing when nothing changed."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from campaign.access import make_list_news_token
from campaign.models import Show, Update, Waiter
from campaign.queries.public_page import NEWEST
from campaign.services import updates
from campaign.services.campaigns import close_campaign
from campaign.services.plans import refresh_staircase
from tests.builders import NOW, make_draft

ARCHIVE, FEED = "/show/tideline/updates/", "/show/tideline/updates.atom"
pytestmark = pytest.mark.usefixtures("clock")


def publish(show: Show, title: str, *, at: datetime = NOW, **changes: Any) -> Update:
    update = updates.write_update(show=show, update=None, title=title, body="It *came*.", now=at, **changes)
    updates.send_update(update=update, now=at)
    update.refresh_from_db()
    return update


def text(client: Any, path: str) -> str:
    return client.get(path).content.decode()


def test_all_news_stands_in_the_archive_by_the_shows_own_months(client: Any, show: Show) -> None:
    publish(show, "Ink", at=datetime(2026, 3, 30, 12, tzinfo=UTC))
    publish(show, "Paper", at=datetime(2026, 3, 31, 22, 30, tzinfo=UTC))  # half past midnight in April, in Berlin
    publish(show, "Wood", at=datetime(2026, 4, 2, 12, tzinfo=UTC))
    html = text(client, ARCHIVE)
    assert [html.index(word) for word in ("April 2026", "Wood", "Paper", "March 2026", "Ink")] == sorted(
        html.index(word) for word in ("April 2026", "Wood", "Paper", "March 2026", "Ink")
    )
    assert "1 April 2026" in html


def test_news_by_mail_only_is_nowhere_to_be_read(client: Any, show: Show) -> None:
    secret = publish(show, "For a few", segment="waiting", is_on_page=False)
    assert client.get(f"{ARCHIVE}{secret.code}/").status_code == 404
    for path in (ARCHIVE, FEED, "/show/tideline/"):
        assert "For a few" not in text(client, path)


def test_the_archive_and_the_feed_stay_when_the_campaign_has_closed(client: Any, show: Show) -> None:
    update = publish(show, "Ink")
    refresh_staircase(show=show, now=NOW)
    close_campaign(show=show, now=show.closes_at)
    for path in (ARCHIVE, FEED, f"{ARCHIVE}{update.code}/"):
        assert "Ink" in text(client, path)


def test_an_empty_archive_says_so_and_a_draft_has_none(client: Any, show: Show) -> None:
    assert "No update yet." in text(client, ARCHIVE)
    make_draft(code="draft")
    for path in ("/show/draft/updates/", "/show/draft/updates.atom", "/show/nowhere/updates.atom"):
        assert client.get(path).status_code == 404


def test_the_public_page_shows_the_newest_and_leads_to_the_rest(client: Any, show: Show) -> None:
    for number in range(NEWEST + 1):
        publish(show, f"Number {number}", at=NOW + timedelta(minutes=number))
    html = text(client, "/show/tideline/")
    assert "Number 0" not in html and f"Number {NEWEST}" in html
    assert f'href="{ARCHIVE}"' in html and f'href="{FEED}"' in html


@pytest.mark.parametrize("path", ["/show/tideline/", ARCHIVE])
def test_a_reader_of_feeds_finds_it_by_itself(client: Any, show: Show, path: str) -> None:
    assert f'<link rel="alternate" type="application/atom+xml" title="Tideline: updates" href="{FEED}">' in text(
        client, path
    )


@pytest.mark.parametrize("path", [ARCHIVE, FEED])
def test_anybody_may_keep_it_and_nobody_gets_a_cookie(client: Any, show: Show, path: str) -> None:
    response = client.get(path)
    assert response.headers["Cache-Control"] == "public, max-age=30, stale-while-revalidate=60"
    assert not response.cookies and "Cookie" not in response.headers.get("Vary", "")
    assert client.post(path).status_code == 405
    assert client.head(path).status_code == 200


def test_an_unchanged_feed_is_not_sent_again(client: Any, show: Show) -> None:
    publish(show, "Ink", at=NOW)
    first = client.get(FEED)
    tag, changed = first.headers["ETag"], first.headers["Last-Modified"]
    assert changed == "Tue, 10 Mar 2026 12:00:00 GMT"
    for asked in ({"If-None-Match": tag}, {"If-Modified-Since": changed}):
        again = client.get(FEED, headers=asked)
        assert (again.status_code, again.content) == (304, b"")
        assert again.headers["ETag"] == tag
    publish(show, "Paper", at=NOW + timedelta(hours=1))
    for asked in ({"If-None-Match": tag}, {"If-Modified-Since": changed}):
        assert client.get(FEED, headers=asked).status_code == 200


def test_the_feed_holds_the_newest_fifty_and_the_archive_all(client: Any, show: Show) -> None:
    Update.objects.bulk_create(
        Update(
            show=show, code=f"c{number}", title=f"No {number:03}", body="B", written_at=NOW,
            published_at=NOW + timedelta(minutes=number),
        )
        for number in range(55)
    )  # fmt: skip
    feed = text(client, FEED)
    assert feed.count("<entry>") == 50 and "No 004" not in feed and "No 054" in feed
    assert all(f"No {number:03}" in text(client, ARCHIVE) for number in (0, 54))


def test_archive_and_feed_take_a_few_queries_however_much_there_is(
    client: Any, show: Show, django_assert_max_num_queries: Any
) -> None:
    for number in range(5):
        publish(show, f"Number {number}")
    for path in (ARCHIVE, FEED):
        with django_assert_max_num_queries(3):
            client.get(path)


def test_somebody_on_a_waiting_list_reads_that_the_place_stays(client: Any, show: Show) -> None:
    waiter = Waiter.objects.create(edition=show.editions.get(), name="W", email="w@example.org", asked_at=NOW)
    path = f"/u/list/{make_list_news_token(waiter)}/"
    assert "Your place on the waiting list stays" in text(client, path)
    assert not show.suppressions.exists()
    assert "Its place on the waiting list stays" in client.post(path).content.decode()
    assert show.suppressions.get().email == "w@example.org"
    assert client.post("/u/list/forged/").status_code == 404

"""The calendar feed: read back by a parser, the same bytes for the same dates, moved entries keep their UID."""

from datetime import date, timedelta

import icalendar
import pytest
from django.urls import reverse

from campaign.access import make_calendar_token
from campaign.models import CalendarEntry, Deadline
from campaign.services.campaigns import close_campaign
from campaign.services.schedule import StepWish, set_steps
from tests.builders import NOW, make_draft, place

pytestmark = pytest.mark.usefixtures("clock")


@pytest.fixture
def url(show):
    return reverse("campaign:calendar", args=[make_calendar_token(show)])


@pytest.fixture
def deadline(show):
    return Deadline.objects.create(
        show=show, kind="grant", name="City culture fund, with a long name; and commas, – ü", on=date(2026, 3, 20),
        money_minor=150_000, note="Form B, three copies.\nBy post.",
    )  # fmt: skip


def events(answer):
    """The events of a feed by the beginning of their summary."""
    calendar = icalendar.Calendar.from_ical(answer.content)
    return {str(event["summary"]).rpartition(" (")[0]: event for event in calendar.walk("VEVENT")}


def test_the_feed_is_a_calendar_of_whole_days(client, url, deadline):
    answer = client.get(url)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    calendar = icalendar.Calendar.from_ical(answer.content)
    assert str(calendar["version"]) == "2.0"
    assert str(calendar["x-wr-calname"]) == "Tideline"
    found = events(answer)
    assert found["Hanging day"]["dtstart"].dt == date(2026, 5, 14)
    assert found["Hanging day"]["dtend"].dt == date(2026, 5, 15)
    assert found["Opening"]["dtstart"].dt == date(2026, 5, 15)
    assert str(found["Opening"]["description"]) == "18:00, The Net Loft"
    assert found["Orders close"]["dtstart"].dt == date(2026, 4, 1)
    assert found["Last day"]["dtstart"].dt == date(2026, 6, 14)
    grant = found["City culture fund, with a long name; and commas, – ü"]
    assert grant["dtstart"].dt == date(2026, 3, 20)
    assert str(grant["description"]) == "Grant\n€1,500.00\nForm B, three copies.\nBy post."
    for event in found.values():
        assert event["dtend"].dt - event["dtstart"].dt >= timedelta(days=1)
        assert (event["dtstamp"].dt, event["last-modified"].dt, event["sequence"]) == (NOW, NOW, 0)


def test_lines_end_as_the_standard_says_and_are_folded(client, url, deadline):
    lines = client.get(url).content.split(b"\r\n")
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert max(len(line) for line in lines) <= 75


def test_the_same_dates_give_the_same_bytes_on_any_day(client, url, clock):
    first = client.get(url)
    clock.move_to(NOW + timedelta(days=9))
    again = client.get(url)
    assert again.content == first.content
    assert again["ETag"] == first["ETag"]


def test_a_reader_who_has_it_already_gets_nothing_twice(client, url):
    first = client.get(url)
    again = client.get(url, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again["ETag"] == first["ETag"]
    assert first["Cache-Control"] == "private, no-cache"


def test_reading_again_writes_nothing(client, url, django_assert_max_num_queries):
    client.get(url)
    with django_assert_max_num_queries(16) as queries:
        client.get(url)
    assert not [q for q in queries if q["sql"].split()[0] in ("INSERT", "UPDATE", "DELETE", "BEGIN")]


def test_an_item_that_moves_keeps_its_uid_and_rises_in_sequence(client, url, deadline, clock):
    before = events(client.get(url))
    later = NOW + timedelta(days=1)
    clock.move_to(later)
    Deadline.objects.update(on=date(2026, 3, 27))
    after = events(client.get(url))
    assert {name: str(event["uid"]) for name, event in before.items()} == {
        name: str(event["uid"]) for name, event in after.items()
    }
    name = next(name for name in after if name.startswith("City"))
    moved = after[name]
    assert (moved["dtstart"].dt, moved["sequence"], moved["last-modified"].dt) == (date(2026, 3, 27), 1, later)
    assert moved["created"].dt == NOW
    assert {event["sequence"] for other, event in after.items() if other != name} == {0}


def test_a_later_opening_moves_the_steps_with_it(client, url, show):
    before = events(client.get(url))
    type(show).objects.update(hang_on=show.hang_on + timedelta(days=7), opening_at=show.opening_at + timedelta(days=7))
    after = events(client.get(url))
    assert after["Drying"]["dtstart"].dt > before["Drying"]["dtstart"].dt
    assert after["Drying"]["uid"] == before["Drying"]["uid"]


def test_orders_do_not_move_the_calendar(client, url, show):
    before = client.get(url).content
    place(show, copies=3)
    assert client.get(url).content == before


def test_what_is_taken_out_or_done_is_said(client, url, show, deadline):
    client.get(url)
    close_campaign(show=show, now=NOW)
    set_steps(show=show, steps={"materials": StepWish(date(2026, 3, 9), date(2026, 3, 10))})
    Deadline.objects.update(is_done=True)
    found = events(client.get(url))
    assert str(found["Materials ordered and delivered"]["description"]) == "Done."
    assert found["Materials ordered and delivered"]["dtstart"].dt == date(2026, 3, 9)
    assert any(name.endswith("– ü (done)") for name in found)
    deadline.delete()
    assert not any(name.startswith("City") for name in events(client.get(url)))
    assert not CalendarEntry.objects.filter(key__startswith="deadline").exists()


def test_nothing_about_a_backer_is_in_it(client, url, show):
    pledge = place(show, copies=1, name="Iris Unlikely", email="iris@example.net")
    text = client.get(url).content.decode()
    assert not any(word in text for word in ("Iris", "iris@", pledge.code, "Musterweg"))


def test_a_withdrawn_link_is_dead_and_the_new_one_works(client, ada_client, url, show):
    old = client.get(url)
    assert ada_client.post(reverse("campaign:renew_calendar_link", args=["tideline"])).status_code == 302
    assert client.get(url).status_code == 404
    show.refresh_from_db()
    fresh = reverse("campaign:calendar", args=[make_calendar_token(show)])
    assert fresh != url
    assert client.get(fresh).content == old.content


def test_a_forged_or_foreign_link_finds_nothing(client, url, show):
    other = make_draft(code="other")
    stolen = make_calendar_token(show).partition(":")[2]
    forged = f"{make_calendar_token(other).partition(':')[0]}:{stolen}"
    for token in (forged, "nonsense", make_calendar_token(show)[:-1] + "\0"):
        assert client.get(f"/calendar/{token}.ics").status_code == 404


def test_only_reading_is_allowed(client, url):
    assert client.head(url).status_code == 200
    for method in ("post", "put", "delete"):
        assert getattr(client, method)(url).status_code == 405


def test_a_show_that_is_being_prepared_has_its_calendar_too(client, db):
    draft = make_draft()
    found = events(client.get(reverse("campaign:calendar", args=[make_calendar_token(draft)])))
    assert "Launch" in found
    assert str(found["Launch"]["description"]).endswith("at the latest, for everything to be ready.")

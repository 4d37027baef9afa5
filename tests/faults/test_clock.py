"""
A table of moments at which clocks and calendars go wrong: summer time, leap days, other zones, a clock set back.

Stated limits: every case of the table, for closing, holds, reminders, offers, windows, posting dates, leases and links.
What ends at a moment ends at that moment everywhere on earth; what lasts so many hours lasts so many whatever the clock
on the wall does; a clock that is set back makes nothing happen twice.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.db import transaction

from campaign import access, mail, outbox
from campaign.errors import CampaignNotOpen, LinkNeeded, NotOnSale, TooLateToChange
from campaign.measures.dates import months_later, parse_date
from campaign.measures.errors import MeasureError
from campaign.measures.workdays import next_workday, previous_workday, public_holidays
from campaign.models import Edition, OutboxMessage, Pledge, Show
from campaign.services.offers import offer_end
from campaign.services.pledges import cancel_pledge, lapse_due_holds, remind_due_holds
from campaign.services.waiting import join_list, lapse_offers
from campaign.showfolder.fields import Context, FieldRefused
from campaign.showfolder.moments import moment
from tests.builders import make_draft, place
from tests.reliability import record
from tests.undone import undone

pytestmark = [pytest.mark.faults, pytest.mark.django_db]
SECOND, HOUR = timedelta(seconds=1), timedelta(hours=1)
# The hour that Berlin skips and the one it has twice in 2026.
SPRING, AUTUMN = datetime(2026, 3, 29, 1, tzinfo=UTC), datetime(2026, 10, 25, 1, tzinfo=UTC)
BERLIN = ZoneInfo("Europe/Berlin")
Case = Callable[[], bool]


def at(text: str) -> datetime:
    """A moment in UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def show_with(**changes: object) -> Show:
    """A published show around the moments of a case."""
    fields = {"state": "open", "opens_at": at("2025-01-01T00:00"), "closes_at": at("2029-01-01T00:00"), "copies": 3}
    return make_draft(**(fields | {"cancel_until_on": date(2029, 1, 1)} | changes))


# --- moments as people write them


def means(text: str, zone: str, utc: str) -> Case:
    return lambda: moment(without_time=None)(text, Context(time_zone=zone)).astimezone(UTC) == at(utc)


def is_no_moment(text: str, zone: str) -> Case:
    def case() -> bool:
        with pytest.raises((FieldRefused, MeasureError)):
            moment(without_time=None)(text, Context(time_zone=zone))
        return True

    return case


# --- closing and windows


def closes(zone: str, utc: str) -> Case:
    """A second before the campaign's end an order is taken, at its end none is."""

    def case() -> bool:
        show = show_with(time_zone=zone, closes_at=at(utc))
        place(show, now=at(utc) - SECOND)
        with pytest.raises(CampaignNotOpen):
            place(show, now=at(utc))
        return Pledge.objects.count() == 1

    return case


def opens(zone: str, utc: str) -> Case:
    def case() -> bool:
        show = show_with(time_zone=zone, opens_at=at(utc))
        with pytest.raises(CampaignNotOpen):
            place(show, now=at(utc) - SECOND)
        place(show, now=at(utc))
        return Pledge.objects.count() == 1

    return case


def is_sold_between(first: str, last: str) -> Case:
    """An edition's own window: from its first moment on, up to and without its last."""

    def case() -> bool:
        show = show_with()
        Edition.objects.update(sold_from_at=at(first), sold_until_at=at(last))
        for outside in (at(first) - SECOND, at(last)):
            with pytest.raises(NotOnSale):
                place(show, now=outside)
        place(show, now=at(first))
        place(show, now=at(last) - SECOND)
        return Pledge.objects.count() == 2

    return case


def clock_back_at_the_close() -> bool:
    """A clock that is set back opens a campaign by its own time again: the moment counts, not what was seen of it."""
    show = show_with(closes_at=AUTUMN)
    with pytest.raises(CampaignNotOpen):
        place(show, now=AUTUMN)
    place(show, now=AUTUMN - HOUR)
    Show.objects.update(state="closed", closed_at=AUTUMN)
    with pytest.raises(CampaignNotOpen):
        place(show, now=AUTUMN - HOUR)
    return Pledge.objects.count() == 1


# --- holds and reminders


def hold_lasts(placed: str, until: str, days: int = 10) -> Case:
    """So many times twenty-four hours; with its end the hold stands, a second later it does not."""

    def case() -> bool:
        pledge = place(show_with(hold_days=days), now=at(placed))
        is_right = pledge.hold_until_at == at(until)
        return is_right and lapse_due_holds(now=at(until)) == 0 and lapse_due_holds(now=at(until) + SECOND) == 1

    return case


def mails(name: str) -> int:
    return OutboxMessage.objects.filter(name=name).count()


def clock_back_after_a_lapse() -> bool:
    place(show_with(hold_days=3), now=AUTUMN - timedelta(days=3))
    lapse_due_holds(now=AUTUMN + SECOND)
    again = lapse_due_holds(now=AUTUMN - HOUR) + lapse_due_holds(now=AUTUMN + SECOND)
    return again == 0 and mails("pledge_lapsed") == 1


def clock_back_before_a_lapse() -> bool:
    """An hour that comes twice ends no hold early."""
    place(show_with(hold_days=3), now=AUTUMN - timedelta(days=3))
    early = lapse_due_holds(now=AUTUMN) + lapse_due_holds(now=AUTUMN - HOUR)
    return early == 0 and lapse_due_holds(now=AUTUMN + SECOND) == 1


def reminds_once(placed: str, first: str) -> Case:
    """Three days before the end and never again, though the clock goes back an hour."""

    def case() -> bool:
        place(show_with(hold_days=10, reminder_days=3), now=at(placed))
        too_early = remind_due_holds(now=at(first) - SECOND)
        told = [remind_due_holds(now=now) for now in (at(first), at(first) - HOUR, at(first), at(first) + 5 * HOUR)]
        return too_early == 0 and told == [1, 0, 0, 0] and mails("hold_reminder") == 1

    return case


def reminds_nobody_at_once() -> bool:
    """A hold shorter than the reminder's days is reminded of a day after the order, not with it."""
    placed = SPRING - 2 * HOUR
    place(show_with(hold_days=3, reminder_days=3), now=placed)
    return remind_due_holds(now=placed + 23 * HOUR) == 0 and remind_due_holds(now=placed + 25 * HOUR) == 1


# --- offers to those who wait


def offer_ends(now: str, until: str, **changes: object) -> Case:
    """So many hours on, but never after the edition's or the campaign's end."""

    def case() -> bool:
        show = show_with(offer_hours=48, **changes)
        return offer_end(show.editions.get(), now=at(now)) == at(until)

    return case


def clock_back_after_an_offer_lapsed() -> bool:
    show = show_with(copies=1, hold_days=3, offer_hours=24)
    place(show, now=AUTUMN - timedelta(days=3))
    for number in range(2):
        join_list(
            edition=show.editions.get(), name="W", email=f"w{number}@example.org", copies=1, now=AUTUMN - 5 * HOUR
        )
    lapse_due_holds(now=AUTUMN + SECOND)
    after = AUTUMN + 24 * HOUR + 2 * SECOND
    lapsed = [lapse_offers(now=now) for now in (AUTUMN + 23 * HOUR, after, after - HOUR, after)]
    return lapsed == [0, 1, 0, 0] and mails("copies_offered") == 2 and mails("offer_lapsed") == 1


# --- dates in the show's own zone


def may_cancel_until(zone: str, day: str, last: str) -> Case:
    """The whole of the day, as it is at the show, wherever the visitor sits."""

    def case() -> bool:
        show = show_with(time_zone=zone, cancel_until_on=date.fromisoformat(day))
        one, other = place(show, now=at(last) - HOUR), place(show, now=at(last) - HOUR)
        cancel_pledge(pledge=one, by_backer=True, now=at(last))
        with pytest.raises(TooLateToChange):
            cancel_pledge(pledge=other, by_backer=True, now=at(last) + SECOND)
        return mails("pledge_cancelled") == 1

    return case


def is_day(found: Callable[[], date], day: str) -> Case:
    return lambda: found() == date.fromisoformat(day)


def posting_day_stays(zone: str) -> Case:
    """The date told with an order is a date: no zone moves it."""

    def case() -> bool:
        day = date(2028, 2, 29)
        pledge = place(show_with(time_zone=zone, posting_by_on=day), now=at("2027-12-31T23:30"))
        return Pledge.objects.get(pk=pledge.pk).posting_by_on == day

    return case


def there_is_no(text: str) -> Case:
    def case() -> bool:
        with pytest.raises(MeasureError):
            parse_date(text)
        return True

    return case


# --- leases and links


def clock_back_under_a_lease() -> bool:
    """A mail in hand is nobody else's, and one that is sent stays sent."""
    place(show_with(), now=AUTUMN - HOUR)
    [mine] = outbox.claim(now=AUTUMN)
    others = outbox.claim(now=AUTUMN - HOUR) + outbox.claim(now=AUTUMN + outbox.LEASE)
    return not others and [m.pk for m in outbox.claim(now=AUTUMN + outbox.LEASE + SECOND)] == [mine.pk]


def clock_back_before_a_mail() -> bool:
    """A mail written before the clock was set back waits for its moment and is not lost."""
    place(show_with(), now=AUTUMN)
    return not outbox.claim(now=AUTUMN - HOUR) and len(outbox.claim(now=AUTUMN)) == 1


def same_mail_with_the_clock_back() -> bool:
    pledge = place(show_with(), now=AUTUMN)
    for now in (AUTUMN, AUTUMN - HOUR):
        with transaction.atomic():
            mail.hold_reminder(pledge=pledge, now=now)
    return mails("hold_reminder") == 1


def visit_lasts_half_an_hour() -> bool:
    pledge = place(show_with(), now=AUTUMN)
    with time_machine.travel(AUTUMN, tick=False) as clock:
        visit = access.make_visit(pledge)
        clock.move_to(AUTUMN + timedelta(seconds=access.VISIT_SECONDS))
        access.get_pledge_of_visit(code=pledge.code, visit=visit)
        clock.move_to(AUTUMN + timedelta(seconds=access.VISIT_SECONDS + 1))
        with pytest.raises(LinkNeeded):
            access.get_pledge_of_visit(code=pledge.code, visit=visit)
    return True


def visit_survives_the_clock_set_back() -> bool:
    pledge = place(show_with(), now=AUTUMN)
    with time_machine.travel(AUTUMN, tick=False) as clock:
        visit = access.make_visit(pledge)
        clock.move_to(AUTUMN - HOUR)
        return bool(access.get_pledge_of_visit(code=pledge.code, visit=visit).pk == pledge.pk)


CASES: dict[str, Case] = {
    "written: Berlin, winter": means("2026-03-28 23:59", "Europe/Berlin", "2026-03-28T22:59"),
    "written: Berlin, first minute of summer": means("29 March 2026, 3 am", "Europe/Berlin", "2026-03-29T01:00"),
    "written: Berlin, an hour that is skipped": is_no_moment("2026-03-29 02:30", "Europe/Berlin"),
    "written: Berlin, the hour that is there twice": means("2026-10-25 02:30", "Europe/Berlin", "2026-10-25T00:30"),
    "written: Berlin, the same hour with its offset": means(
        "2026-10-25T02:30+01:00", "Europe/Berlin", "2026-10-25T01:30"
    ),
    "written: New York, an hour that is skipped": is_no_moment("2026-03-08 02:30", "America/New_York"),
    "written: New York, the hour that is there twice": means(
        "2026-11-01 01:30", "America/New_York", "2026-11-01T05:30"
    ),
    "written: Auckland, an hour that is skipped": is_no_moment("2026-09-27 02:30", "Pacific/Auckland"),
    "written: Lord Howe, a half hour that is there twice": means(
        "2026-04-05 01:45", "Australia/Lord_Howe", "2026-04-04T14:45"
    ),
    "written: Kathmandu, midnight": means("2026-04-01 00:00", "Asia/Kathmandu", "2026-03-31T18:15"),
    "written: 29 February in a leap year": means("29 Feb 2028 18:00", "Europe/Berlin", "2028-02-29T17:00"),
    "written: 29 February in another": is_no_moment("29 Feb 2027 18:00", "Europe/Berlin"),
    "closing: the moment summer begins": closes("Europe/Berlin", "2026-03-29T01:00"),
    "closing: in the hour that is there twice": closes("Europe/Berlin", "2026-10-25T00:30"),
    "closing: the second time of that hour": closes("Europe/Berlin", "2026-10-25T01:30"),
    "closing: end of 29 February in Auckland": closes("Pacific/Auckland", "2028-02-29T10:59"),
    "closing: a day behind, in Honolulu": closes("Pacific/Honolulu", "2026-04-02T09:59"),
    "closing: the clock goes back an hour": clock_back_at_the_close,
    "opening: the moment summer ends": opens("Europe/Berlin", "2026-10-25T01:00"),
    "window: across the beginning of summer": is_sold_between("2026-03-28T23:00", "2026-03-29T02:00"),
    "window: 29 February": is_sold_between("2028-02-28T23:00", "2028-02-29T23:00"),
    "hold: across the beginning of summer": hold_lasts("2026-03-24T12:00", "2026-04-03T12:00"),
    "hold: across its end": hold_lasts("2026-10-20T12:00", "2026-10-30T12:00"),
    "hold: ends on 29 February": hold_lasts("2028-02-19T23:30", "2028-02-29T23:30"),
    "hold: over the turn of the year": hold_lasts("2026-12-31T23:59", "2027-01-05T23:59", days=5),
    "hold: the clock goes back after it lapsed": clock_back_after_a_lapse,
    "hold: the clock goes back before it lapses": clock_back_before_a_lapse,
    "reminder: once, across the beginning of summer": reminds_once("2026-03-24T12:00", "2026-03-31T12:00"),
    "reminder: once, on 29 February": reminds_once("2028-02-22T08:00", "2028-02-29T08:00"),
    "reminder: not with a short hold's order": reminds_nobody_at_once,
    "offer: forty-eight hours across summer's end": offer_ends("2026-10-24T12:00", "2026-10-26T12:00"),
    "offer: ends with the campaign": offer_ends(
        "2026-10-24T12:00", "2026-10-25T00:30", closes_at=at("2026-10-25T00:30")
    ),
    "offer: the clock goes back after it lapsed": clock_back_after_an_offer_lapsed,
    "cancelling: the last day in Berlin": may_cancel_until("Europe/Berlin", "2026-04-08", "2026-04-08T21:59:59"),
    "cancelling: the day summer ends": may_cancel_until("Europe/Berlin", "2026-10-25", "2026-10-25T22:59:59"),
    "cancelling: 29 February, a day ahead": may_cancel_until("Pacific/Auckland", "2028-02-29", "2028-02-29T10:59:59"),
    "cancelling: a day behind": may_cancel_until("Pacific/Honolulu", "2026-04-08", "2026-04-09T09:59:59"),
    "posting: the date stays in Apia": posting_day_stays("Pacific/Apia"),
    "posting: the date stays in Honolulu": posting_day_stays("Pacific/Honolulu"),
    "posting: a month after 31 January in a leap year": is_day(
        lambda: months_later(date(2028, 1, 31), 1), "2028-02-29"
    ),
    "posting: twelve months after 29 February": is_day(lambda: months_later(date(2028, 2, 29), 12), "2029-02-28"),
    "posting: working day before 29 February 2032, a Sunday": is_day(
        lambda: previous_workday(date(2032, 2, 29)), "2032-02-27"
    ),
    "posting: working day after Easter and the clock's change": is_day(
        lambda: next_workday(date(2027, 3, 27), public_holidays("DE", years=[2027])), "2027-03-30"
    ),
    "posting: there is no 29 February 2100": there_is_no("29 February 2100"),
    "mail: the clock goes back under a lease": clock_back_under_a_lease,
    "mail: the clock goes back before it is sent": clock_back_before_a_mail,
    "mail: the same act with the clock back": same_mail_with_the_clock_back,
    "link: half an hour and no second more": visit_lasts_half_an_hour,
    "link: the clock goes back during a visit": visit_survives_the_clock_set_back,
}


def test_every_moment_of_the_table(db):
    for change in (SPRING, AUTUMN):
        before, after = (then.astimezone(BERLIN).utcoffset() for then in (change - SECOND, change))
        assert abs(after - before) == HOUR, "the table looks at the wrong moments"
    wrong = []
    for name, case in CASES.items():
        with undone():
            try:
                is_right = case()
            except Exception as error:  # the others are looked at too
                wrong.append(f"{name}: {type(error).__name__} {error}")
            else:
                wrong += [] if is_right else [name]
    record("15 moments (SQLite)", cases=len(CASES), wrong=len(wrong))
    assert wrong == []
    assert len(CASES) >= 40

"""The calendar feed: what it says is kept, so that a change raises the sequence and nothing else moves."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import F

from campaign.calendar import AllDay, write_calendar
from campaign.models import CalendarEntry, Show
from campaign.queries.calendar import Said, list_said

FIELDS = ("first_on", "last_on", "summary", "words")


def calendar_file(*, show: Show, now: datetime) -> bytes:
    """
    The calendar of `show` as an iCalendar file; see `refresh_calendar`.

    Writes: CalendarEntry, where something has changed.
    Repeat: with unchanged dates nothing is written and the file is the same to the last byte.
    """
    entries = refresh_calendar(show=show, now=now)
    return write_calendar(
        name=show.title,
        entries=[
            AllDay(
                uid=entry.uid, first_on=entry.first_on, last_on=entry.last_on, summary=entry.summary, words=entry.words,
                sequence=entry.sequence, written_at=entry.written_at, changed_at=entry.changed_at,
            )
            for entry in entries
        ],
    )  # fmt: skip


def refresh_calendar(*, show: Show, now: datetime) -> tuple[CalendarEntry, ...]:
    """
    The calendar's entries as they should stand now.

    Writes: CalendarEntry, where something has changed; an entry that is gone is deleted.
    Repeat: with unchanged dates nothing is written.
    """
    said = list_said(show)
    if not _differs(said, entries=list(show.calendar_entries.all())):
        return tuple(show.calendar_entries.all())
    return _write(show, said=said, now=now)


@transaction.atomic(durable=True)
def _write(show: Show, *, said: Sequence[Said], now: datetime) -> tuple[CalendarEntry, ...]:
    # One at a time: two readers who find the same change must not both raise the sequence.
    Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    known = {entry.key: entry for entry in show.calendar_entries.all()}
    for one in said:
        entry = known.pop(one.key, None)
        fields = {name: getattr(one, name) for name in FIELDS}
        if entry is None:
            CalendarEntry.objects.create(show=show, key=one.key, written_at=now, changed_at=now, **fields)
        elif _has_changed(one, entry=entry):
            CalendarEntry.objects.filter(pk=entry.pk).update(sequence=F("sequence") + 1, changed_at=now, **fields)
    CalendarEntry.objects.filter(pk__in=[entry.pk for entry in known.values()]).delete()
    return tuple(show.calendar_entries.all())


def _differs(said: Sequence[Said], *, entries: Sequence[CalendarEntry]) -> bool:
    known = {entry.key: entry for entry in entries}
    return {one.key for one in said} != set(known) or any(_has_changed(one, entry=known[one.key]) for one in said)


def _has_changed(one: Said, *, entry: CalendarEntry) -> bool:
    return any(getattr(one, name) != getattr(entry, name) for name in FIELDS)


@transaction.atomic(durable=True)
def renew_calendar_link(*, show: Show) -> None:
    """
    Withdraw the calendar's secret link; the next one is new.

    Writes: Show.calendar_version.
    Repeat: withdraws that one as well.
    """
    Show.objects.filter(pk=show.pk).update(calendar_version=F("calendar_version") + 1)

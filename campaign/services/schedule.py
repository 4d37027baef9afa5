"""What the schedule is made from beside the show's own dates: closed days, deadlines, steps that are done."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db import transaction

from campaign.errors import NotReady
from campaign.models import ClosedDay, Deadline, DoneStep, Show
from campaign.services.plans import touch_inputs

MOST_CLOSED_DAYS = 400


@dataclass(frozen=True, slots=True)
class ClosedWish:
    """Days on which the artist does not work, both ends included."""

    first_on: date
    last_on: date
    note: str = ""


@dataclass(frozen=True, slots=True)
class StepWish:
    """When work on a step began, and when it was done."""

    begun_on: date
    done_on: date | None = None


@dataclass(frozen=True, slots=True)
class DeadlineWish:
    """A date set by others, as typed; `money_minor` None where no sum hangs on it."""

    kind: str
    name: str
    on: date
    money_minor: int | None = None
    note: str = ""


@transaction.atomic(durable=True)
def set_closed_days(*, show: Show, wishes: Sequence[ClosedWish]) -> None:
    """
    The artist's closed days are these and no others; where stretches overlap the first note stays.

    Writes: ClosedDay; Show.inputs_version until the campaign closes, because lead times depend on working days.
    Raises: NotReady for more days than anybody is away.
    Repeat: the same days again change nothing.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    wanted: dict[date, str] = {}
    for wish in wishes:
        for offset in range((wish.last_on - wish.first_on).days + 1):
            wanted.setdefault(wish.first_on + timedelta(days=offset), wish.note)
            if len(wanted) > MOST_CLOSED_DAYS:
                raise NotReady(f"More than {MOST_CLOSED_DAYS} closed days; is a year mistyped? Nothing was changed.")
    known = dict(current.closed_days.values_list("day_on", "note"))
    if wanted == known:
        return
    current.closed_days.all().delete()
    ClosedDay.objects.bulk_create(
        ClosedDay(show=current, day_on=day, note=note) for day, note in sorted(wanted.items())
    )
    if current.closed_at is None and set(wanted) != set(known):
        touch_inputs(current)


@transaction.atomic(durable=True)
def set_steps(*, show: Show, steps: Mapping[str, StepWish]) -> None:
    """
    Record which steps of the schedule are begun and done; those that are not named are open again.

    Writes: DoneStep.
    Repeat: the same again changes nothing.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    current.done_steps.exclude(step__in=steps).delete()
    for step, wish in steps.items():
        DoneStep.objects.update_or_create(
            show=current, step=step, defaults={"begun_on": wish.begun_on, "done_on": wish.done_on}
        )


@transaction.atomic(durable=True)
def add_deadline(*, show: Show, uid: uuid.UUID, wish: DeadlineWish) -> Deadline:
    """
    Put a date set by others into the schedule; `uid` is made by the form and stays the deadline's own.

    Writes: Deadline.
    Raises: NotReady if another show has this uid.
    Repeat: the same uid again adds nothing.
    """
    fields = {name: getattr(wish, name) for name in DeadlineWish.__slots__}
    deadline, _ = Deadline.objects.get_or_create(uid=uid, defaults={"show": show, **fields})
    if deadline.show_id != show.pk:
        raise NotReady("This form belongs to another show. Nothing was recorded; open a new one.")
    return deadline


@transaction.atomic(durable=True)
def change_deadline(*, deadline: Deadline, wish: DeadlineWish) -> None:
    """
    Change what is known of a deadline; in the calendar it moves, and the reminder comes anew for the new day.

    Writes: Deadline.
    Repeat: the same again changes nothing.
    """
    Deadline.objects.filter(pk=deadline.pk).exclude(on=wish.on).update(reminded_at=None)
    Deadline.objects.filter(pk=deadline.pk).update(
        kind=wish.kind, name=wish.name, on=wish.on, money_minor=wish.money_minor, note=wish.note
    )


@transaction.atomic(durable=True)
def mark_deadline(*, deadline: Deadline, is_done: bool) -> None:
    """
    Say that the deadline is met, or that it is not after all.

    Writes: Deadline.
    Repeat: nothing is left to do.
    """
    Deadline.objects.filter(pk=deadline.pk).update(is_done=is_done)


@transaction.atomic(durable=True)
def remove_deadline(*, deadline: Deadline) -> None:
    """
    Take a deadline out of the schedule.

    Writes: Deadline.
    Repeat: one that is gone stays gone.
    """
    Deadline.objects.filter(pk=deadline.pk).delete()

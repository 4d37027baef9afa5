"""Sponsors and grants: asking, what was promised, the money when it comes, and reminders of what must be handed in."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import IntegrityError, transaction

from campaign import ledger, mail
from campaign.errors import BookedOtherwise
from campaign.models import Account, CashEntry, Deadline, Funder, Show
from campaign.services.rows import each

COMES_FROM = {Funder.Kind.SPONSOR: Account.SPONSORS, Funder.Kind.GRANT: Account.GRANTS}


@dataclass(frozen=True, slots=True)
class FunderWish:
    """A sponsor or grant as typed; sums in minor units, None where unknown; `due_on` is the day of the next step."""

    kind: str
    state: str
    name: str
    contact: str = ""
    email: str = ""
    asked_minor: int | None = None
    promised_minor: int | None = None
    restricted_to: str = ""
    next_step: str = ""
    due_on: date | None = None
    remind_days: int = 7
    thanks: str = ""
    note: str = ""


_OWN = ("kind", "state", "name", "contact", "email", "asked_minor", "promised_minor", "restricted_to", "next_step",
        "thanks", "note")  # fmt: skip


@transaction.atomic(durable=True)
def add_funder(*, show: Show, code: str, wish: FunderWish) -> Funder:
    """
    Write down a sponsor or grant; `code` is made by the form, so that a double click is one row.

    Writes: Funder; Deadline where the next step has a day.
    Repeat: the same code again adds nothing.
    """
    fields = {name: getattr(wish, name) for name in _OWN}
    funder, is_new = Funder.objects.get_or_create(code=code, defaults={"show": show, **fields})
    if is_new:
        _set_deadline(funder, wish=wish)
    return funder


@transaction.atomic(durable=True)
def change_funder(*, funder: Funder, wish: FunderWish) -> Funder:
    """
    Change what is known of a sponsor or grant; its day moves in the schedule and in the calendar with it.

    Writes: Funder; Deadline: added, moved, or taken out.
    Repeat: the same again changes nothing.
    """
    current = Funder.objects.select_for_update(no_key=True, of=("self",)).select_related("deadline").get(pk=funder.pk)
    for name in _OWN:
        setattr(current, name, getattr(wish, name))
    current.save(update_fields=_OWN)
    _set_deadline(current, wish=wish)
    return current


def _set_deadline(funder: Funder, *, wish: FunderWish) -> None:
    known = funder.deadline
    if wish.due_on is None:
        if known:
            known.delete()
            funder.deadline = None
        return
    is_over = wish.state in (Funder.State.DECLINED, Funder.State.CLOSED)
    fields = {
        "kind": funder.kind, "name": f"{wish.name}: {wish.next_step}"[:160] if wish.next_step else wish.name,
        "on": wish.due_on, "money_minor": wish.promised_minor or wish.asked_minor, "remind_days": wish.remind_days,
        "is_done": is_over,
    }  # fmt: skip
    if known is None:
        funder.deadline = Deadline.objects.create(show=funder.show, **fields)
        funder.save(update_fields=["deadline"])
        return
    moved = (known.on, known.remind_days) != (wish.due_on, wish.remind_days)
    Deadline.objects.filter(pk=known.pk).update(**fields, **({"reminded_at": None} if moved else {}))


@transaction.atomic(durable=True)
def remove_funder(*, funder: Funder) -> bool:
    """
    Take a sponsor or grant out, with its day; one whose money stands in the cash book stays. True if it went.

    Writes: deletes Funder, Deadline. Repeat: one that is gone stays gone.
    """
    current = (
        Funder.objects.select_for_update(no_key=True, of=("self",))
        .select_related("deadline")
        .filter(pk=funder.pk)
        .first()
    )
    if current is None or current.cash_entries.exists():
        return current is None
    deadline = current.deadline
    current.delete()
    if deadline:
        deadline.delete()
    return True


def receive_from_funder(
    *, funder: Funder, key: str, amount_minor: int, happened_on: date, text: str, now: datetime
) -> CashEntry:
    """
    Book money that a sponsor or a grant paid into the bank account.

    Writes: CashEntry; Funder.state becomes promised if it was not yet.
    Raises: BookedOtherwise for a known key with another amount.
    Repeat: the same `key` gives the entry that is already there.
    """
    try:
        return _receive(funder_pk=funder.pk, key=key, amount_minor=amount_minor, on=happened_on, text=text, now=now)
    except IntegrityError:
        known = CashEntry.objects.filter(key=f"funder:{key}").first()
        if known is None:
            raise
        if (known.amount_minor, known.funder_id) != (amount_minor, funder.pk):
            raise BookedOtherwise(booked_minor=known.amount_minor) from None
        return known


@transaction.atomic(durable=True)
def _receive(*, funder_pk: int, key: str, amount_minor: int, on: date, text: str, now: datetime) -> CashEntry:
    locked = Funder.objects.select_for_update(of=("self",), no_key=True).select_related("show")
    funder = locked.get(pk=funder_pk)
    Funder.objects.filter(pk=funder.pk, state__in=[Funder.State.PLANNED, Funder.State.ASKED]).update(
        state=Funder.State.PROMISED
    )
    return ledger.post(
        show=funder.show, key=f"funder:{key}", debit=Account.BANK, credit=COMES_FROM[Funder.Kind(funder.kind)],
        amount_minor=amount_minor, happened_on=on, now=now, text=text or f"From {funder.name}", funder=funder,
    )  # fmt: skip


def remind_of_deadlines(*, now: datetime, limit: int = 50) -> int:
    """
    One mail to the studio for each date set by others that comes near and is not met; what the sweep calls.

    Writes: Deadline.reminded_at. Mails: deadline_near.
    Repeat: nobody is reminded twice of the same day. Returns how many were sent.
    """
    waiting = Deadline.objects.filter(is_done=False, reminded_at=None).select_related("show").order_by("on", "pk")
    due = []
    for deadline in waiting.filter(on__gte=now.date() - timedelta(days=1)).exclude(show__state=Show.State.CALLED_OFF):
        today = now.astimezone(deadline.show.zone).date()
        if today <= deadline.on <= today + timedelta(days=deadline.remind_days):
            due.append(deadline)
    return each(lambda deadline: _remind(deadline, now=now), due[:limit])


@transaction.atomic(durable=True)
def _remind(deadline: Deadline, *, now: datetime) -> int:
    moved = Deadline.objects.filter(pk=deadline.pk, is_done=False, reminded_at=None, on=deadline.on)
    if moved.update(reminded_at=now) == 0:
        return 0
    mail.deadline_near(deadline=deadline, now=now)
    return 1

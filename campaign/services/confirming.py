"""Asking backers once, and once more, whether their prints go to the right place; and their yes."""

from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import QuerySet

from campaign import mail
from campaign.errors import NotReady, TooLateToChange
from campaign.models import Pledge, Show
from campaign.queries.destinations import print_of_destinations
from campaign.services.destinations import lock_with_show
from campaign.services.rows import each

GRACE = timedelta(seconds=60)  # to call it off before the first mail is out
REMIND_DAYS = 3
FIRST_REST = timedelta(days=1)
BEFORE_PRINTED = (Show.State.OPEN, Show.State.CLOSED)


@transaction.atomic(durable=True)
def ask_for_addresses(*, show: Show, until_on: date, now: datetime) -> Show:
    """
    Have every order that is paid and has prints asked whether its addresses are right; the sweep writes the mails.

    Who pays later is asked then. Who was asked is not asked again when the day moves.
    Writes: Show.addresses_until_on, Show.addresses_asked_at at the first time.
    Raises: NotReady for a day that is over, or in a show whose printing has ended or that is no longer made.
    Repeat: the same day again changes nothing.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    if current.state not in BEFORE_PRINTED:
        raise NotReady("Addresses are asked for while the campaign is open or closed and printing has not ended.")
    if until_on <= now.astimezone(current.zone).date():
        raise NotReady("Give a day that is still to come: backers need time to answer.")
    current.addresses_until_on = until_on
    current.addresses_asked_at = current.addresses_asked_at or now
    current.save(update_fields=["addresses_until_on", "addresses_asked_at"])
    return current


@transaction.atomic(durable=True)
def call_off_asking(*, show: Show) -> int:
    """
    No more mails that ask. Who was asked may still answer on the page of the order.

    Writes: Show. Repeat: nothing is left to call off. Returns how many orders had been asked.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    current.addresses_until_on = current.addresses_asked_at = None
    current.save(update_fields=["addresses_until_on", "addresses_asked_at"])
    return orders_to_ask(current).exclude(address_asked_at=None).count()


def orders_to_ask(show: Show) -> QuerySet[Pledge]:
    """The orders of `show` that are paid, have prints, and whose backer can be written to."""
    orders = Pledge.objects.filter(show=show, state=Pledge.State.PAID, copies__gt=0, erased_at=None)
    return orders.exclude(email="")


def ask_due_orders(*, now: datetime, limit: int = 100) -> int:
    """
    Ask every order that is to be asked and was not yet; one transaction each; what the sweep calls.

    Writes: Pledge.address_asked_at.
    Mails: confirm_address.
    Repeat: nobody is asked twice. Returns how many were asked.
    """
    due: list[Pledge] = []
    for show in _asking(now):
        waiting = orders_to_ask(show).filter(address_asked_at=None, address_confirmed_at=None)
        due.extend(waiting.select_related("show").order_by("pk")[: limit - len(due)])
    return each(lambda pledge: _tell(pledge, "address_asked_at", now=now), due)


def remind_due_orders(*, now: datetime, limit: int = 100) -> int:
    """
    One reminder to each order that was asked and has not answered, three days before the day.

    Writes: Pledge.address_reminded_at.
    Mails: confirm_address_again.
    Repeat: nobody is reminded twice. Returns how many were reminded.
    """
    due: list[Pledge] = []
    for show in _asking(now):
        assert show.addresses_until_on is not None
        if show.addresses_until_on - now.astimezone(show.zone).date() > timedelta(days=REMIND_DAYS):
            continue
        silent = orders_to_ask(show).filter(address_confirmed_at=None, address_reminded_at=None)
        silent = silent.filter(address_asked_at__lte=now - FIRST_REST)
        due.extend(silent.select_related("show").order_by("pk")[: limit - len(due)])
    return each(lambda pledge: _tell(pledge, "address_reminded_at", now=now), due)


def _asking(now: datetime) -> list[Show]:
    """The shows that ask just now: the minute of grace is over, the day is not."""
    shows = Show.objects.filter(addresses_asked_at__lte=now - GRACE, state__in=BEFORE_PRINTED)
    return [
        one for one in shows if one.addresses_until_on and one.addresses_until_on >= now.astimezone(one.zone).date()
    ]


@transaction.atomic(durable=True)
def _tell(pledge: Pledge, field: str, *, now: datetime) -> int:
    still = Pledge.objects.filter(
        pk=pledge.pk, state=Pledge.State.PAID, erased_at=None, address_confirmed_at=None, **{field: None},
        show__addresses_until_on=pledge.show.addresses_until_on, show__state__in=BEFORE_PRINTED,
    )  # fmt: skip
    if still.update(**{field: now}) == 0:  # answered, cancelled, called off or printed meanwhile
        return 0
    mail.confirm_address(pledge=pledge, is_reminder=field == "address_reminded_at", now=now)
    return 1


@transaction.atomic(durable=True)
def confirm_address(*, pledge: Pledge, seen: str, now: datetime) -> Pledge:
    """
    The backer says that every address of the order is right. `seen` is the print of those that stood on the page.

    Writes: Pledge.address_confirmed_at.
    Raises: TooLateToChange once printing ended or the order has ended; NotReady where another address stands there by
        now, so that nobody confirms what was not read.
    Repeat: the first moment stays.
    """
    current = lock_with_show(pledge)
    if current.show.state == Show.State.PRINTED or not current.is_live or not current.copies:
        raise TooLateToChange(until=None)
    if seen != print_of_destinations(current):
        raise NotReady("The address was changed meanwhile. Read it once more, then say whether it is right.")
    if current.address_confirmed_at is None:
        current.address_confirmed_at = now
        current.save(update_fields=["address_confirmed_at"])
    return current

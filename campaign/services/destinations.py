"""Sending what is ordered somewhere else: to another address of the backer, or of a friend; within what was agreed."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from campaign import mail
from campaign.errors import DearerPostage, NotReady, OtherTax, TooLateToChange
from campaign.models import Pledge, PledgeLine, Show
from campaign.queries.basket import loads_of, price_load
from campaign.queries.order_lines import Addressed, find_friend
from campaign.queries.postage import Load
from campaign.queries.taxes import find_tax


@transaction.atomic(durable=True)
def change_address(*, pledge: Pledge, name: str, address: Mapping[str, str], now: datetime) -> Pledge:
    """
    Send the backer's own prints somewhere else, within the same postage and the same tax.

    Writes: Pledge; what the backer typed counts as confirmed, unless another address of the order is to be looked at.
    Mails: address_changed.
    Raises: TooLateToChange once printing ended or the order has ended; NoPostage where there is no price, and
        DearerPostage if all postage of the order would cost more; OtherTax if another tax applies there.
    Repeat: the same address again changes nothing and mails nothing.
    """
    current = _lock_in_time(pledge)
    send_own(current, name=name, address=address, bears_postage=False, now=now)
    _note_own_words(current, typed=Addressed(name, address), is_friends=False, now=now)
    return current


@transaction.atomic(durable=True)
def change_friend_address(
    *, pledge: Pledge, number: int, name: str, address: Mapping[str, str], now: datetime
) -> Pledge:
    """
    Send what is for a friend somewhere else, within the same postage; `number` counts the friends of the order from 1.

    Writes: PledgeLine, Pledge.postage_cost_minor.
    Mails: address_changed, to the backer.
    Raises: TooLateToChange, NoPostage, DearerPostage as above; NotReady where the order has no such friend.
    Repeat: the same address again changes nothing and mails nothing.
    """
    current = _lock_in_time(pledge)
    send_friends(current, number=number, name=name, address=address, bears_postage=False, now=now)
    _note_own_words(current, typed=Addressed(name, address), is_friends=True, now=now)
    return current


def send_own(current: Pledge, *, name: str, address: Mapping[str, str], bears_postage: bool, now: datetime) -> bool:
    """
    The steps of `change_address`, within the transaction of a caller that has locked order and show. True if it moved.

    With `bears_postage` what posting costs beyond the postage that was agreed is the artist's.
    """
    if current.name == name and current.address == dict(address):
        return False
    before, current.address = current.address, dict(address)
    current.name = name
    if current.copies and _moved(before, address):
        _check_tax(current, before=before, now=now)
        lines = list(current.lines.select_related("edition"))
        _check_postage(current, lines=lines, to=address, bears_postage=bears_postage, now=now)
    current.address_confirmed_at = None  # it was said of another address
    current.save(update_fields=["name", "address", "postage_cost_minor", "address_confirmed_at"])
    mail.address_changed(pledge=current, friend=None, now=now)
    return True


def send_friends(
    current: Pledge, *, number: int, name: str, address: Mapping[str, str], bears_postage: bool, now: datetime
) -> bool:
    """The same for `change_friend_address`."""
    lines = list(current.lines.select_related("edition"))
    friend = find_friend(lines, number=number)
    if friend is None:
        raise NotReady("Nothing of this order goes to a friend any more. Nothing was changed.")
    if friend.name == name and friend.address == dict(address):
        return False
    for line in lines:
        if line.pk in friend.line_keys:
            line.recipient_name, line.address = name, dict(address)
    if _moved(friend.address, address):
        _check_postage(current, lines=lines, to=address, bears_postage=bears_postage, now=now)
    PledgeLine.objects.filter(pk__in=friend.line_keys).update(recipient_name=name, address=dict(address))
    current.address_confirmed_at = None
    current.save(update_fields=["postage_cost_minor", "address_confirmed_at"])
    mail.address_changed(pledge=current, friend=Addressed(name, dict(address)), now=now)
    return True


def _note_own_words(current: Pledge, *, typed: Addressed, is_friends: bool, now: datetime) -> None:
    """Where everything goes to the address that was just typed, nobody need be asked whether it is right."""
    wanted = (typed.name, dict(typed.address)) if is_friends else ("", {})
    if all((line.recipient_name, line.address) == wanted for line in current.lines.all()):
        current.address_confirmed_at = now
        current.save(update_fields=["address_confirmed_at"])


def lock_with_show(pledge: Pledge) -> Pledge:
    """Order and show as they are now: whoever ends printing, or marks a parcel as posted, waits for this address."""
    locked = Pledge.objects.select_for_update(of=("self", "show"), no_key=True).select_related("show")
    return locked.get(pk=pledge.pk)


def _lock_in_time(pledge: Pledge) -> Pledge:
    current = lock_with_show(pledge)
    if current.show.state == Show.State.PRINTED or not current.is_live:
        raise TooLateToChange(until=None)
    return current


def _moved(before: Mapping[str, str], after: Mapping[str, str]) -> bool:
    """True for another country: within one the postage and the tax that were agreed still hold, whatever costs now."""
    return before.get("country_code") != after.get("country_code")


def _check_postage(
    pledge: Pledge, *, lines: list[PledgeLine], to: Mapping[str, str], bears_postage: bool, now: datetime
) -> None:
    today = now.astimezone(pledge.show.zone).date()
    rates = list(pledge.show.postage_rates.all())
    loads = loads_of(
        (line.recipient_name, line.address or pledge.address, Load(line.copies, line.edition.mass_g * line.copies))
        for line in lines
    )
    found = [price_load(rates, recipient_name=name, country=land, load=load, today=today) for name, land, load in loads]
    if not bears_postage and sum(one.postage_minor for one in found) > pledge.postage_minor:
        raise DearerPostage(country=to.get("country_code", "there"))
    pledge.postage_cost_minor = sum(one.cost_minor for one in found)


def _check_tax(pledge: Pledge, *, before: Mapping[str, str], now: datetime) -> None:
    today = now.astimezone(pledge.show.zone).date()
    taxes = list(pledge.show.tax_rates.all())
    countries = (before.get("country_code", ""), pledge.address.get("country_code", ""))
    old, new = (find_tax(taxes, country=country, today=today) for country in countries)
    if old != new:
        raise OtherTax(country=countries[1])

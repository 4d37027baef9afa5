"""Correcting where an order goes, as long as it is not posted; around campaign/services/destinations.py."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from campaign.errors import DearerPostage, NoPostage, NotInThisState, NotReady, OtherTax
from campaign.models import ChangeRequest, Copy, Pledge
from campaign.queries.order_lines import find_friend
from campaign.services import destinations
from campaign.services.change_requests import write_answer
from fulfilment.errors import AlreadyPosted
from fulfilment.models import Parcel, ParcelCopy
from fulfilment.services.papers import make_again, stop_workers
from fulfilment.services.parcel_sums import reckon_again
from fulfilment.services.parcels import NOT_POSTED, unpack

BACKER = 0  # in place of a friend's number: what goes to the backer


@dataclass(frozen=True, slots=True)
class NewAddress:
    """Whom and where an order, or a friend's part of it, goes to; `bears_postage`: the studio pays what is dearer."""

    name: str
    address: Mapping[str, str]
    bears_postage: bool = False


@dataclass(frozen=True, slots=True)
class Answering:
    """The request that a correction answers with "done", and the artist's words on it."""

    request: ChangeRequest
    words: str = ""


@dataclass(frozen=True, slots=True)
class Corrected:
    """What a correction did: whether anything moved, parcels whose papers are made again, copies that lost theirs."""

    has_moved: bool
    parcels: tuple[int, ...] = ()
    unpacked: int = 0


@transaction.atomic(durable=True)
def correct_address(
    *, pledge: Pledge, number: int, to: NewAddress, answering: Answering | None, now: datetime
) -> Corrected:
    """
    Send an order somewhere else as the artist says, after the cut-off too; `number` 0 is the backer, else a friend.

    A parcel that is numbered but not posted follows, and its papers are made again. What shares a parcel with another
    order leaves it: printing is then ended once more for its copies alone.
    Writes: Pledge or PledgeLine; Parcel, ParcelCopy, ParcelEvent, Copy.is_packed, Paper, Job; ChangeRequest with
        `answering`.
    Mails: address_changed, change_answered with `answering`.
    Raises: NotInThisState for an order that has ended; AlreadyPosted; NotReady where postage or tax do not allow it,
        or there is no such friend.
    Repeat: the same address again changes nothing and mails nothing.
    """
    current = destinations.lock_with_show(pledge)
    if not current.is_live:
        raise NotInThisState(what="This order", state=current.get_state_display())
    stop_workers(current.show)  # before the parcels are read: one that is just being numbered is among them then
    copies = _copies_for(current, number=number)
    if copies and all(copy.is_posted for copy in copies):
        raise AlreadyPosted(name=current.name if number == BACKER else to.name)
    has_moved = _send(current, number=number, to=to, now=now)
    packed = [copy for copy in copies if copy.is_packed]
    done = _move_parcels(packed, to=to, now=now) if has_moved else Corrected(has_moved)
    if answering:
        done_state = ChangeRequest.State.DONE
        write_answer(request=answering.request, pledge=current, state=done_state, answer=answering.words, now=now)
    return done


def _copies_for(pledge: Pledge, *, number: int) -> list[Copy]:
    lines = list(pledge.lines.all())
    friend = find_friend(lines, number=number)
    keys = friend.line_keys if friend else {line.pk for line in lines if number == BACKER and not line.address}
    return list(Copy.objects.filter(pledge=pledge, line__in=keys).select_related("edition"))


def _send(pledge: Pledge, *, number: int, to: NewAddress, now: datetime) -> bool:
    """Postage and tax refuse in words for the artist; the campaign's own are for backers."""
    wish: dict[str, Any] = {"name": to.name, "address": to.address, "bears_postage": to.bears_postage, "now": now}
    try:
        if number == BACKER:
            return destinations.send_own(pledge, **wish)
        return destinations.send_friends(pledge, number=number, **wish)
    except DearerPostage as refusal:
        raise NotReady(
            "Posting it there costs more than the postage that was agreed. Tick that the studio bears the difference, "
            "or leave the country as it is."
        ) from refusal
    except NoPostage as refusal:
        raise NotReady("There is no postage price for that country. Put one into the table of postage first.") from (
            refusal
        )
    except OtherTax as refusal:
        raise NotReady(
            "Another tax applies in that country than in the sum that was agreed. Cancel the order, and have it "
            "ordered anew for there."
        ) from refusal


def _move_parcels(copies: Sequence[Copy], *, to: NewAddress, now: datetime) -> Corrected:
    """The parcels of `copies` that are not posted go to the new address, or without them; a packed one is opened."""
    holding = ParcelCopy.objects.filter(copy__in=copies, parcel__state__in=NOT_POSTED)
    locked = Parcel.objects.select_for_update(no_key=True).filter(pk__in=holding.values("parcel"))
    parcels, unpacked = list(locked.order_by("number")), 0
    for parcel in parcels:
        mine = [copy for copy in copies if ParcelCopy.objects.filter(parcel=parcel, copy=copy).exists()]
        others = Copy.objects.filter(parcel_copy__parcel=parcel, state=Copy.State.SPOKEN_FOR)
        if others.exclude(pk__in=[copy.pk for copy in mine]).exists():
            _take_out(mine)
            unpacked += len(mine)
        else:
            Parcel.objects.filter(pk=parcel.pk).update(name=to.name, address=dict(to.address))
    reckon_again(parcels, now=now)
    make_again(parcels)
    # The slip inside and the label outside are the old ones.
    unpack([one for one in parcels if one.state == Parcel.State.PACKED], note="the address was corrected", now=now)
    return Corrected(has_moved=True, parcels=tuple(parcel.number for parcel in parcels), unpacked=unpacked)


def _take_out(copies: Sequence[Copy]) -> None:
    """They have no parcel any more; what is left in it is reckoned by the caller."""
    keys = [copy.pk for copy in copies]
    ParcelCopy.objects.filter(copy__in=keys).delete()
    Copy.objects.filter(pk__in=keys).update(is_packed=False)

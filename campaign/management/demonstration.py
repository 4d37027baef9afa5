"""Loads the demonstration show through the same services that serve a real one, at the moments it is said to be of."""

import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from campaign.demonstration.backers import (
    DEMONSTRATION_MONEY,
    DEMONSTRATION_PLEDGES,
    DEMONSTRATION_UPDATES,
    DemonstrationMoney,
    DemonstrationPledge,
    DemonstrationUpdate,
)
from campaign.demonstration.folder import write_demonstration_folder
from campaign.demonstration.papers import EDITION
from campaign.models import Show
from campaign.queries.basket import LineWish
from campaign.services.campaigns import publish_show
from campaign.services.payments import record_other_money, record_payment
from campaign.services.pledges import Order, place_pledge
from campaign.services.shows import import_show
from campaign.services.updates import send_update, write_update
from campaign.showfolder.folder import read_show_folder

SHOW_CODE = "demo"
KEYS = uuid.UUID("6d1f1c5e-53a8-4d0e-9a3c-0d6f2f4f0d10")
DRY_AFTER = timedelta(days=2)  # how long a demonstration payment takes

Act = Callable[[datetime], object]


def load_demonstration(*, folder: Path, now: datetime, say: Callable[[str], None]) -> bool:
    """
    Write the demonstration folder, import and publish it, and let its backers order and pay.

    `say` is told what is going on, a line each. False if all of it was there already; it then stays as it is. After an
    interrupted start the acts that are missing are made up for: every act has a key of its own.
    """
    show = Show.objects.filter(code=SHOW_CODE).first()
    if show and show.updates.count() >= len(DEMONSTRATION_UPDATES):
        return False
    if show is None:
        say("Drawing the works of the demonstration show …")
        write_demonstration_folder(folder, today=now.astimezone(ZoneInfo("Europe/Berlin")).date())
        say("Importing its folder …")
        show = import_show(folder=read_show_folder(folder), now=now).show
    show = publish_show(show=show, now=now)
    say("Letting its backers order …")
    for moment, act in sorted(_acts(show, now=now), key=lambda timed: timed[0]):
        act(moment)
    return True


def _acts(show: Show, *, now: datetime) -> list[tuple[datetime, Act]]:
    """Everything that happened, with its moment; of one day in the order written."""
    acts: list[tuple[datetime, Act]] = []

    def at(days_ago: int) -> datetime:
        return now - timedelta(days=days_ago) + timedelta(seconds=len(acts))

    for money in DEMONSTRATION_MONEY:
        acts.append((at(money.days_ago), partial(_book, show, money)))
    for pledge in DEMONSTRATION_PLEDGES:
        placed_at = at(pledge.days_ago)
        acts.append((placed_at, partial(_order, show, pledge)))
        if pledge.is_paid:
            acts.append((min(placed_at + DRY_AFTER, now), partial(_pay, show, pledge)))
    for update in DEMONSTRATION_UPDATES:
        acts.append((at(update.days_ago), partial(_tell, show, update)))
    return acts


def _book(show: Show, money: DemonstrationMoney, moment: datetime) -> None:
    record_other_money(
        show=show, key=f"{SHOW_CODE}:{money.text}"[:70], kind=money.kind, amount_minor=money.amount_minor,
        happened_on=moment.astimezone(show.zone).date(), text=money.text, now=moment,
    )  # fmt: skip


def _order(show: Show, pledge: DemonstrationPledge, moment: datetime) -> None:
    order = Order(
        name=pledge.name,
        email=pledge.email,
        way=pledge.way,
        lines=_lines(pledge),
        gift_minor=pledge.gift_minor,
        address=pledge.postal_address,
        is_thanked_by_name=pledge.is_thanked_by_name,
        wants_updates=pledge.wants_updates,
        message=pledge.message,
    )
    place_pledge(show=show, request_key=_request_key(pledge), order=order, now=moment)


def _lines(pledge: DemonstrationPledge) -> tuple[LineWish, ...]:
    large, small = (str(row[0]) for row in EDITION[1:])
    friend = pledge.friend
    lines = [LineWish(large, pledge.copies - (1 if friend else 0)), LineWish(small, pledge.cards)]
    if friend:
        lines.append(LineWish(large, 1, friend.name, friend.postal_address))
    return tuple(line for line in lines if line.copies)


def _pay(show: Show, pledge: DemonstrationPledge, moment: datetime) -> None:
    placed = show.pledges.get(request_key=_request_key(pledge))
    record_payment(
        pledge=placed, key=f"{SHOW_CODE}:{pledge.email}", amount_minor=placed.total_minor, fee_minor=0, way=pledge.way,
        happened_on=moment.astimezone(show.zone).date(), now=moment,
    )  # fmt: skip


def _tell(show: Show, update: DemonstrationUpdate, moment: datetime) -> None:
    if not show.updates.filter(title=update.title).exists():
        written = write_update(show=show, update=None, title=update.title, body=update.body, now=moment)
        send_update(update=written, now=moment)


def _request_key(pledge: DemonstrationPledge) -> uuid.UUID:
    return uuid.uuid5(KEYS, pledge.email)

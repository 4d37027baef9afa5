"""
One process around a waiting list: `python -m tests.load.waiting GO_FILE NAME WHAT TIMES`; one JSON line an act.

With the name "seed" it orders every copy and lets the first wait. Others wait for the file GO_FILE; each then does one
thing over and over: "lapse" ends orders and offers whose time is over, as the sweep does; "cancel" cancels TIMES
orders, and then everybody stops; "buy" orders from the page; "take" takes an offer, of whoever has one, and now and
then leaves it; "join" asks for a place. The offers are so short that some lapse.
"""

import json
import os
import random
import sys
import time
import uuid
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.utils import timezone  # noqa: E402 - needs django.setup()

from campaign.errors import Refusal  # noqa: E402
from campaign.models import Pledge, Show, Waiter  # noqa: E402
from campaign.services import waiting  # noqa: E402
from campaign.services.pledges import cancel_pledge, lapse_due_holds, place_pledge  # noqa: E402
from tests.builders import OrderFactory  # noqa: E402

LONGEST_S = 240
LINE = 15  # so many wait before anything comes back, however slowly the machine lets others join
# SQLite wakes those who wait for its write lock in no order: who wrote without a pause would starve the others.
PAUSES_S = {"lapse": 0.2, "cancel": 0.2, "join": 0.15, "buy": 0.2, "take": 0.05}


class Person:
    """Somebody who does one kind of thing."""

    def __init__(self, show: Show, *, name: str) -> None:
        self.show, self.name = show, name
        self.edition = show.editions.get()
        self.chance = random.Random(name)
        self.count = 0
        self.place = 0  # the key of the place taken last

    @property
    def email(self) -> str:
        """A new person each time."""
        self.count += 1
        return f"{self.name}-{self.count}@example.org"

    def lapse(self) -> str:
        """What the sweep does about holds, offers and copies that nobody was offered."""
        now = timezone.now()
        lapsed = lapse_due_holds(now=now) + waiting.lapse_offers(now=now) + waiting.offer_due_copies(now=now)
        return "lapsed" if lapsed else "nothing due"

    def cancel(self) -> str:
        """An order out of those that are alive."""
        alive = list(Pledge.objects.filter(state=Pledge.State.HELD).values_list("pk", flat=True))
        if not alive:
            return "nothing to cancel"
        pledge = Pledge.objects.get(pk=self.chance.choice(alive))
        cancel_pledge(pledge=pledge, by_backer=True, now=timezone.now())
        return "cancelled"

    def buy(self) -> str:
        """One copy from the page."""
        order = OrderFactory(email=self.email)
        place_pledge(show=self.show, request_key=uuid.uuid4(), order=order, now=timezone.now())
        return "bought"

    def take(self) -> str:
        """An offer of somebody's; one in six is given back, one in three is let pass."""
        offered = Waiter.objects.filter(state=Waiter.State.OFFERED).select_related("edition__show")
        waiter = offered.order_by("?").first()
        if waiter is None:
            return "no offer"
        luck = self.chance.randrange(6)
        if luck == 0:
            return "left" if waiting.leave_list(waiter=waiter, now=timezone.now()) else "left already"
        if luck < 3:
            time.sleep(0.05)
            return "let pass"
        order = OrderFactory(email=waiter.email)
        place_pledge(show=self.show, request_key=uuid.uuid4(), order=order, now=timezone.now(), waiter=waiter)
        return "taken"

    def join(self) -> str:
        """A place for one or two copies."""
        copies = self.chance.choice([1, 1, 2])
        waiter = waiting.join_list(edition=self.edition, name="W", email=self.email, copies=copies, now=timezone.now())
        self.place = waiter.pk
        if self.count % 8 == 0:
            time.sleep(2)  # now and then nobody waits, and the page sells
        return "joined"


def _do(act: Callable[[], str]) -> dict[str, object]:
    started = time.time()
    try:
        result = act()
    except Refusal as refusal:
        result = type(refusal).__name__
    except Exception as error:  # whatever it is, the test must see it
        result = f"error: {type(error).__name__}: {error}"
    return {"result": result, "started": started, "ended": time.time()}


def main(go: str, name: str, what: str, times: str) -> None:
    """Get ready, wait, act, report; NAME "seed" orders every copy
    and lets the first wait."""
    show = Show.objects.get(code="tideline")
    if name == "seed":
        for n in range(show.editions.get().size):
            order = OrderFactory(email=f"first-{n}@example.org")
            place_pledge(show=show, request_key=uuid.uuid4(), order=order, now=timezone.now())
        for n in range(LINE):
            Person(show, name=f"early-{n}").join()
        return
    person = Person(show, name=name)
    Path(f"{go}.{name}").touch()
    while not Path(go).exists():
        time.sleep(0.005)
    done, stop, until = 0, Path(f"{go}.stop"), time.monotonic() + LONGEST_S
    while not stop.exists() and time.monotonic() < until:
        act = _do(getattr(person, what))
        sys.stdout.write(json.dumps({"what": what, **act, "place": person.place}) + "\n")
        done += act["result"] == "cancelled"
        if done >= int(times) > 0:
            stop.touch()
        # Offers and holds of hours, in a test of seconds: their ends are moved near, never their order.
        if what == "lapse":
            _hurry()
        time.sleep(person.chance.uniform(0.5, 1.5) * PAUSES_S[what])


def _hurry() -> None:
    soon = timezone.now() + timedelta(seconds=2)
    Waiter.objects.filter(state=Waiter.State.OFFERED, offer_until_at__gt=soon).update(offer_until_at=soon)
    held = Pledge.objects.filter(state=Pledge.State.HELD).order_by("placed_at")
    oldest = list(held.values_list("pk", flat=True)[:1])
    Pledge.objects.filter(pk__in=oldest, state=Pledge.State.HELD).update(hold_until_at=timezone.now())


if __name__ == "__main__":
    main(*sys.argv[1:])

"""
The waiting list in the machine: joining, offers taken, given back and let pass, and the artist who takes somebody off.

What is offered is read from the rows; what must be so of it whatever was done is said by the invariants here.
"""

from collections import Counter
from collections.abc import Mapping
from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from campaign.errors import CampaignNotOpen, CopiesAreFree, OfferEnded
from campaign.models import Copy, OutboxMessage, Waiter
from campaign.services import waiting
from campaign.services.pledges import cancel_pledge
from tests.builders import place, wait
from tests.faults.machine_model import PICK, Known, Model, fired, read_waiters

State = Waiter.State


class WaitingActs(Model):
    """Rules about the lines."""

    def kept(self, code: str) -> int:
        """Copies of an edition that are offered to people who waited."""
        return Copy.objects.filter(edition__show=self.show, edition__code=code, state=Copy.State.OFFERED).count()

    def can_take(self, wanted: Mapping[str, int]) -> bool:
        """So many copies of each edition are free for anybody."""
        return all(self.free(code) - self.kept(code) >= n for code, n in wanted.items())

    def places(self, *states: str) -> list[Waiter]:
        """Places in the lists, in the order of asking."""
        return [waiter for waiter in read_waiters(self.show) if waiter.state in states]

    @rule(code=st.sampled_from(["harbour", "small"]), copies=st.integers(1, 2))
    def join(self, code: str, copies: int) -> None:
        free = self.free(code) - self.kept(code)
        try:
            waiter = wait(self.show, edition_code=code, copies=copies, now=self.now)
        except CopiesAreFree as refusal:
            assert self.takes_orders and refusal.copies == free > 0
            fired["join, copies are free"] += 1
        except CampaignNotOpen:
            assert not self.takes_orders
        else:
            assert free == 0 and self.takes_orders and waiter.state == State.WAITING
            again = wait(self.show, edition_code=code, email=waiter.email.upper(), now=self.now)
            assert again.pk == waiter.pk
            fired["join"] += 1

    @precondition(lambda self: self.seen.places(State.OFFERED))
    @rule(pick=PICK, copies=st.integers(1, 2), twice=st.booleans())
    def take_an_offer(self, pick: int, copies: int, twice: bool) -> None:
        offered = self.places(State.OFFERED)
        if not offered:
            return
        waiter = offered[pick % len(offered)]
        copies = min(copies, waiter.offered_copies.count())
        is_standing = self.takes_orders and self.now < waiter.offer_until_at
        lowest = list(waiter.offered_copies.order_by("number").values_list("number", flat=True))[:copies]
        fields = {"edition_code": waiter.edition.code, "copies": copies, "email": waiter.email, "waiter": waiter}
        try:
            pledge = place(self.show, now=self.now, **fields)
        except (OfferEnded, CampaignNotOpen):
            assert not is_standing
            return
        assert is_standing
        assert list(pledge.held_copies.order_by("number").values_list("number", flat=True)) == lowest
        bought = Counter({waiter.edition.code: copies})
        self.orders.append(Known(pledge, pledge.request_key, pledge.total_minor, bought))
        if twice:
            self._not_twice(fields)
        fired["take an offer"] += 1

    def _not_twice(self, fields: dict[str, Any]) -> None:
        try:
            place(self.show, now=self.now, **fields)
        except OfferEnded as refusal:
            assert refusal.is_taken
        else:
            raise AssertionError("an offer was taken twice")

    @precondition(lambda self: self.seen.places(State.WAITING, State.OFFERED))
    @rule(pick=PICK, by_artist=st.booleans())
    def leave(self, pick: int, by_artist: bool) -> None:
        live = self.places(State.WAITING, State.OFFERED)
        waiter = live[pick % len(live)]
        act = waiting.take_off_list if by_artist else waiting.leave_list
        assert [act(waiter=waiter, now=self.now), act(waiter=waiter, now=self.now)] == [True, False]
        fired["leave"] += 1

    @precondition(lambda self: self.takes_orders and self.seen.places(State.LAPSED))
    @rule(pick=PICK)
    def ask_again(self, pick: int) -> None:
        lapsed = self.places(State.LAPSED)
        try:
            again = waiting.ask_again(waiter=lapsed[pick % len(lapsed)], now=self.now)
        except CopiesAreFree:
            return
        assert again.pk == max(waiter.pk for waiter in self.places(*State.values)) or again.state in Waiter.LIVE
        fired["ask again"] += 1

    @precondition(lambda self: self.takes_orders)
    @rule(pick=PICK, end=st.sampled_from(["take", "leave", "lapse", "more comes back"]))
    def a_copy_comes_back_to_the_line(self, pick: int, end: str) -> None:
        """All of an edition is ordered, two wait, one order is cancelled: by chance alone too seldom."""
        if not self.takes_orders:
            return
        for _ in range(self.free("small") - self.kept("small")):
            self._order_one("small")
        self.join("small", copies=2)
        self.join("small", copies=1)
        if not self._cancel_one("small", pick):
            return
        if end == "take":
            self.take_an_offer(pick=pick, copies=1, twice=bool(pick % 2))
        elif end == "leave":
            self.leave(pick=pick, by_artist=bool(pick % 2))
        elif end == "lapse":
            self.time_passes(hours=21)
            if self.takes_orders and self.places(State.LAPSED):
                self.ask_again(pick=pick)
        else:
            self._cancel_one("small", pick)

    def _order_one(self, code: str) -> None:
        pledge = place(self.show, edition_code=code, copies=1, now=self.now)
        self.orders.append(Known(pledge, pledge.request_key, pledge.total_minor, Counter({code: 1})))

    def _cancel_one(self, code: str, pick: int) -> bool:
        alive = [known for known in self.orders if known.state == "held" and known.copies[code]]
        if not alive:
            return False
        known = alive[pick % len(alive)]
        cancel_pledge(pledge=known.pledge, by_backer=False, now=self.now)
        known.state = "cancelled"
        return True

    def sweep_the_lists(self) -> None:
        """What the sweep does about places and offers at the machine's moment."""
        due = [waiter.pk for waiter in self.places(State.OFFERED) if waiter.offer_until_at <= self.now]
        ended, lapsed = waiting.end_places(now=self.now), waiting.lapse_offers(now=self.now)
        assert lapsed == (len(due) if self.takes_orders else 0)
        assert not ended or not self.takes_orders
        assert waiting.offer_due_copies(now=self.now) == 0  # all of it was offered as it came back
        fired["offers lapsed"] += lapsed

    def the_line_is_served_in_its_order(self) -> None:
        kept_for = Counter(copy.waiter for copy in self.seen.copies)
        for code in self.sizes:
            line = [waiter for waiter in self.seen.waiters if waiter.edition == code]
            waits = [waiter.pk for waiter in line if waiter.state == State.WAITING]
            offered = [waiter.pk for waiter in line if waiter.offered_at]
            assert not waits or not offered or max(offered) < min(waits), "somebody was passed over"
            is_free = any(copy.state == Copy.State.FREE for copy in self.seen.copies if copy.edition == code)
            assert not (waits and is_free and self.takes_orders), "a copy lies idle although somebody waits"
            for waiter in line:
                kept = kept_for[waiter.pk]
                assert (1 <= kept <= waiter.copies) if waiter.state == State.OFFERED else kept == 0
                if waiter.offered_at:
                    assert waiter.offer_until_at <= self.show.closes_at

    def every_offer_was_told(self) -> None:
        """A mail for each offer and one for each that lapsed."""
        offered = [waiter for waiter in self.places(*State.values) if waiter.offered_at]
        mails = OutboxMessage.objects.filter(show=self.show)
        assert mails.filter(name="copies_offered").count() == len(offered)
        lapsed = sum(waiter.state == State.LAPSED for waiter in offered)
        assert mails.filter(name="offer_lapsed").count() == lapsed

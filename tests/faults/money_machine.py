"""
Any order of acts on stock and money, against a model of plain numbers.

The model knows the rules as a reader of the public page does: who has how many copies, what came, what went back. After
every act the rows must say the same; at the end of a run every check of `manage.py verify` must agree.
"""

import uuid
from collections import Counter
from datetime import timedelta

from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import initialize, invariant, precondition, rule

from campaign.errors import (
    CampaignNotOpen,
    NotEnoughCopies,
    NotInThisState,
    OverLimit,
    TooLateToChange,
)
from campaign.models import Account, CashEntry, Copy, Edition, OutboxMessage, Pledge, Show
from campaign.queries.basket import LineWish
from campaign.queries.money import read_balances, read_money, received_for
from campaign.services import checks
from campaign.services.campaigns import close_campaign
from campaign.services.destinations import change_address
from campaign.services.plans import refresh_staircase
from campaign.services.pledges import cancel_pledge, lapse_due_holds, remind_due_holds
from fulfilment.services import checks as parcel_checks
from fulfilment.services.production import tick_printed, untick_printed
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, make_draft, place
from tests.faults.machine_model import PICK, WAYS, Known, Rows, fired, read_rows
from tests.faults.money_acts import MoneyActs

COPIES, SMALL = 7, 4  # few, so that they run out
# The last ones twice, since they came least: 200 runs are enough for fifty of each.
SELDOM = st.sampled_from(
    [
        "pay again", "correct", "cancel paid", "owe", "give back", "an offer is taken", "an offer is left",
        *["pay late", "pay part", "settle", "call off", "printing", "close", "an offer lapses"] * 2,
    ]
)  # fmt: skip


class MoneyMachine(MoneyActs):
    """See the module."""

    def __init__(self) -> None:
        super().__init__()
        # A run leaves nothing behind: all of it is in a transaction that is rolled back.
        self.run = transaction.atomic()
        self.run._from_testcase = True  # the services' own transactions must be outermost but for this one
        self.run.__enter__()

    @initialize(contingency=st.sampled_from([0, 1_000]), set_aside=st.sampled_from([0, 700]))
    def open_the_show(self, contingency: int, set_aside: int) -> None:
        self.now = NOW
        self.show = make_draft(
            state="open",
            copies=COPIES,
            contingency_bp=contingency,
            set_aside_bp=set_aside,
            hold_days=2,
            reminder_days=1,
            offer_hours=20,
        )
        small = Edition.objects.create(
            show=self.show, code="small", title="Small", width_mm=148, height_mm=105, size=SMALL, price_minor=1_200,
            limit_per_person=2, make_cost_minor=90, pack_cost_minor=40, mass_g=30, position=2,
        )  # fmt: skip
        self.show.postage_rates.filter(up_to_copies=3).update(up_to_copies=5)
        Copy.objects.bulk_create(Copy(edition=small, number=number) for number in range(1, SMALL + 1))
        self.sizes = {"harbour": COPIES, "small": SMALL}
        self.orders: list[Known] = []
        self.bank_in, self.other, self.costs = 0, 0, 0
        self.entries: list[CashEntry] = []
        self.is_open, self.seen = True, Rows()

    # --- what may happen

    @rule(harbour=st.integers(0, 3), small=st.integers(0, 2), gift=st.sampled_from([0, 500, 1_999]), way=WAYS)
    def place(self, harbour: int, small: int, gift: int, way: str) -> None:
        self._place(harbour, small, gift, way)

    @rule(harbour=st.integers(2, 3), small=st.integers(1, 2), way=WAYS)
    def place_much(self, harbour: int, small: int, way: str) -> None:
        self._place(harbour, small, 0, way)

    @rule(small=st.integers(1, 2), way=WAYS)
    def place_and_pay(self, small: int, way: str) -> None:
        before = len(self.orders)
        self._place(1, small, 0, way)
        if len(self.orders) > before:
            self._pay_one_of(self.orders[-1:], pick=0, share="all", way=way, fee=0)

    def _place(self, harbour: int, small: int, gift: int, way: str) -> None:
        wanted = Counter({code: n for code, n in (("harbour", harbour), ("small", small)) if n})
        if not wanted and not gift:
            gift = 700
        key = uuid.uuid4()
        lines = tuple(LineWish(code, n) for code, n in wanted.items())
        more = {} if lines else {"address": {}, "lines": ()}
        changes = {"gift_minor": gift, "way": way, "lines": lines, **more}
        can = self.takes_orders and self.can_take(wanted)
        try:
            pledge = place(self.show, now=self.now, request_key=key, **changes)
        except NotEnoughCopies:
            assert not can and self.takes_orders
            fired["place, too few copies"] += 1
            return
        except CampaignNotOpen:
            assert not self.takes_orders
            fired["place, closed"] += 1
            return
        assert can
        prints = 4_500 * harbour + 1_200 * small
        assert pledge.prints_minor == prints
        self.orders.append(Known(pledge, key, prints + pledge.postage_minor + gift + pledge.tax_added_minor, wanted))
        fired["place"] += 1

    @precondition(lambda self: self.orders)
    @rule(pick=PICK)
    def place_the_same_again(self, pick: int) -> None:
        known = self.some(pick)
        again = place(self.show, now=self.now, request_key=known.key, copies=1)
        assert again.pk == known.pledge.pk
        fired["place again"] += 1

    @precondition(lambda self: self.is_open and len(self.orders) in (1, 4))
    @rule(pick=PICK)
    def ask_for_more_than_one_may(self, pick: int) -> None:
        try:
            place(self.show, now=self.now, copies=4)
        except (OverLimit, NotEnoughCopies, CampaignNotOpen):
            fired["place, over the limit"] += 1
        else:
            raise AssertionError("four copies for one person")

    @precondition(lambda self: self.orders)
    @rule(pick=PICK, by_backer=st.booleans())
    def cancel(self, pick: int, by_backer: bool) -> None:
        known = self.some(pick)
        late = self.now.astimezone(self.show.zone).date() > self.show.cancel_until_on
        try:
            cancel_pledge(pledge=known.pledge, by_backer=by_backer, now=self.now)
        except TooLateToChange:
            assert by_backer and late and known.state != "cancelled"
            fired["cancel, too late"] += 1
            return
        except NotInThisState:
            assert known.state == "lapsed"
            return
        assert known.state in ("held", "paid", "cancelled")
        known.state = "cancelled"
        fired["cancel"] += 1

    @precondition(lambda self: any(known.state == "paid" for known in self.orders))
    @rule(pick=PICK)
    def cancel_a_paid_one(self, pick: int) -> None:
        known = self.some(pick, "paid")
        cancel_pledge(pledge=known.pledge, by_backer=False, now=self.now)
        known.state = "cancelled"
        fired["cancel paid"] += 1

    @precondition(lambda self: self.orders)
    @rule(pick=PICK, far=st.booleans())
    def move_house(self, pick: int, far: bool) -> None:
        known = self.some(pick, "held", "paid")
        if known is None or not known.copies:
            return
        address = LONDON_ADDRESS if far else {**BERLIN_ADDRESS, "street_address": f"Musterweg {pick}"}
        before = Pledge.objects.get(pk=known.pledge.pk).address
        try:
            change_address(pledge=known.pledge, name="Somebody", address=address, now=self.now)
        except Exception as refusal:  # further away costs more, and the frozen sum cannot
            assert far and type(refusal).__name__ in ("NoPostage", "DearerPostage"), refusal
            assert Pledge.objects.get(pk=known.pledge.pk).address == before
        fired["move house"] += 1

    @rule(hours=st.sampled_from([1, 5, 20, 70, 250]))
    def wait(self, hours: int) -> None:
        self.time_passes(hours)

    def time_passes(self, hours: int) -> None:
        self.now += timedelta(hours=hours)
        remind_due_holds(now=self.now)
        until = dict(Pledge.objects.filter(show=self.show).values_list("pk", "hold_until_at"))
        for known in self.orders:
            if known.state == "held" and until[known.pledge.pk] < self.now and known.received <= 0:
                known.state = "lapsed"
        lapse_due_holds(now=self.now)
        self.sweep_the_lists()
        fired["time passes"] += 1

    @precondition(lambda self: any(known.state == "paid" and known.copies for known in self.orders))
    @rule(pick=PICK, back=st.sampled_from([False, False, True]))
    def printing(self, pick: int, back: bool) -> None:
        paid = [known for known in self.orders if known.state == "paid" and known.copies]
        known = paid[pick % len(paid)]
        numbers = list(known.pledge.held_copies.values_list("edition__code", "number"))
        code, number = numbers[pick % len(numbers)]
        edition = self.show.editions.get(code=code)
        if back:
            untick_printed(edition=edition, numbers=[number], now=self.now)
        else:
            tick_printed(edition=edition, numbers=[number], now=self.now)
        fired["printing"] += 1

    @precondition(lambda self: self.is_open and len(self.orders) > 1)
    @rule(chance=st.integers(0, 2))
    def close(self, chance: int) -> None:
        if chance:
            return
        refresh_staircase(show=self.show, now=self.now)
        for _ in range(2):
            close_campaign(show=self.show, now=self.now)
        self.is_open = False
        fired["close"] += 1

    # Acts that need others before them would come too seldom by chance alone: seven rules more draw among them.
    def _seldom(self, act: str, pick: int, way: str) -> None:
        possible, do = {
            "pay late": (lambda: self.unpaid() or self._has("lapsed"), lambda: self.pay_late(pick=pick, way=way)),
            "pay part": (self.waiting, lambda: self.pay_part(pick=pick, way=way)),
            "pay again": (
                lambda: any(known.payments for known in self.orders),
                lambda: self.pay_the_same_again(pick=pick, more=0),
            ),
            "correct": (lambda: self.entries, lambda: self.correct(pick=pick)),
            "cancel paid": (lambda: self._has("paid"), lambda: self.cancel_a_paid_one(pick=pick)),
            "owe": (
                lambda: self._has("lapsed") or self._has("cancelled"), lambda: self.owe_all_that_is_left(pick=pick)
            ),
            "settle": (lambda: self._owes(pick), lambda: self.settle(pick=pick, twice=bool(pick % 2))),
            "call off": (lambda: self._owes(pick), lambda: self.call_off(pick=pick)),
            "give back": (
                lambda: any(known.received > 0 for known in self.orders),
                lambda: self.give_back_by_hand(pick=pick, much=pick % 2 == 0),
            ),
            "printing": (lambda: self._has("paid"), lambda: self.printing(pick=pick, back=pick % 3 == 0)),
            "an offer is taken": (lambda: self.takes_orders, lambda: self.a_copy_comes_back_to_the_line(pick, "take")),
            "an offer is left": (lambda: self.takes_orders, lambda: self.a_copy_comes_back_to_the_line(pick, "leave")),
            "an offer lapses": (lambda: self.takes_orders, lambda: self.a_copy_comes_back_to_the_line(pick, "lapse")),
            "close": (lambda: self.is_open and len(self.orders) > 1, lambda: self.close(chance=0)),
        }[act]  # fmt: skip
        if possible():
            do()

    def _has(self, state: str) -> bool:
        return any(known.state == state and known.copies for known in self.orders)

    def _is_rich(self) -> bool:
        return any(known.state == "paid" and known.received > 0 for known in self.orders)

    def _owes(self, pick: int) -> bool:
        """Something is owed; for want of that a paid order is cancelled, a gift if there is no other."""
        if not self.owed():
            if not self._is_rich() and self.takes_orders:
                self._place(0, 0, 500, "transfer")
                self._pay_one_of(self.orders[-1:], pick=0, share="all", way="transfer", fee=0)
            if self._is_rich():
                self.cancel_a_paid_one(pick=pick)
        return bool(self.owed())

    @precondition(lambda self: self.orders)
    @rule(act=SELDOM, pick=PICK, way=WAYS)
    def one_of_the_seldom(self, act: str, pick: int, way: str) -> None:
        self._seldom(act, pick, way)

    @precondition(lambda self: self.orders)
    @rule(act=SELDOM, pick=PICK, way=WAYS)
    def another_of_the_seldom(self, act: str, pick: int, way: str) -> None:
        self._seldom(act, pick, way)

    @precondition(lambda self: self.orders)
    @rule(act=SELDOM, pick=PICK, way=WAYS)
    def a_third_of_the_seldom(self, act: str, pick: int, way: str) -> None:
        self._seldom(act, pick, way)

    @precondition(lambda self: self.orders)
    @rule(act=SELDOM, pick=PICK, way=WAYS)
    def a_fourth_of_the_seldom(self, act: str, pick: int, way: str) -> None:
        self._seldom(act, pick, way)

    @precondition(lambda self: self.orders)
    @rule(act=SELDOM, pick=PICK, way=WAYS)
    def a_fifth_of_the_seldom(self, act: str, pick: int, way: str) -> None:
        self._seldom(act, pick, way)

    @precondition(lambda self: self.orders)
    @rule(act=SELDOM, pick=PICK, way=WAYS)
    def a_sixth_of_the_seldom(self, act: str, pick: int, way: str) -> None:
        self._seldom(act, pick, way)

    @precondition(lambda self: self.orders)
    @rule(act=SELDOM, pick=PICK, way=WAYS)
    def a_seventh_of_the_seldom(self, act: str, pick: int, way: str) -> None:
        self._seldom(act, pick, way)

    # --- what must be so, always

    @invariant()
    def everything_agrees(self) -> None:
        if not hasattr(self, "orders"):
            return
        self.seen = read_rows(self.show)
        self.rows_say_what_the_model_says()
        self.the_cash_book_balances()
        self.wall_money_is_what_is_left()
        self.the_line_is_served_in_its_order()

    def rows_say_what_the_model_says(self) -> None:
        rows = self.seen.pledges
        assert len(rows) == len(self.orders)
        came, went = self._by_order(credit=Account.ORDERS), self._by_order(debit=Account.ORDERS)
        back, returned = self._by_order(debit=Account.REFUNDS), self._by_order(credit=Account.REFUNDS)
        for known in self.orders:
            assert rows[known.pledge.pk].state == known.state, (known.pledge.code, rows[known.pledge.pk].state, known)
            assert rows[known.pledge.pk].total_minor == known.total
            pk = known.pledge.pk
            assert came[pk] - went[pk] - back[pk] + returned[pk] == known.received
        for code in self.sizes:
            counted = Counter(copy.state for copy in self.seen.copies if copy.edition == code)
            held = sum(known.copies[code] for known in self.orders if known.state == "held")
            paid = sum(known.copies[code] for known in self.orders if known.state == "paid")
            kept = sum(copy.waiter is not None for copy in self.seen.copies if copy.edition == code)
            wanted = {"free": self.free(code) - kept, "offered": kept, "held": held, "spoken_for": paid}
            assert counted == Counter(wanted), (code, counted)

    def _by_order(self, *, debit: str = "", credit: str = "") -> Counter[int]:
        sums: Counter[int] = Counter()
        for line in self.seen.book:
            if (debit or line.debit) == line.debit and (credit or line.credit) == line.credit:
                sums[line.pledge] += line.sum_minor
        return sums

    def the_cash_book_balances(self) -> None:
        balances = read_balances(self.show)
        assert sum(balances.values()) == 0
        assert sum(balances[account] for account in (Account.BANK, Account.CHEQUES, Account.CASH)) == self.bank_in

    def wall_money_is_what_is_left(self) -> None:
        paid = [known for known in self.orders if known.state == "paid"]
        rows = [self.seen.pledges[known.pledge.pk] for known in paid]
        kept = sum(min(known.received, known.total) for known in paid)
        spent = sum(row.costs_minor for row in rows)
        loose = [copy for copy in self.seen.copies if copy.is_printed and copy.state in ("free", "offered")]
        before = kept - spent - sum(copy.make_cost_minor for copy in loose) - self.costs + self.other
        share = self.show.contingency_bp
        kept_back = (2 * max(0, before) * share + 10_000) // 20_000 if share else 0
        assert abs(read_money(self.show).in_hand.total_minor - (before - kept_back)) <= (1 if share else 0)

    def teardown(self) -> None:
        try:
            if hasattr(self, "orders"):
                self.verify()
        finally:
            transaction.set_rollback(True)
            self.run.__exit__(None, None, None)

    def verify(self) -> None:
        """Every check of the command agrees, every order has its money and its mail."""
        for known in self.orders:
            assert received_for(known.pledge) == known.received
        for check in (*checks.CHECKS, *parcel_checks.CHECKS):
            found = check()
            assert found.difference is None, found.line
        self.every_offer_was_told()
        placed = OutboxMessage.objects.filter(show=self.show, name="pledge_placed").count()
        assert placed == len(self.orders)
        assert OutboxMessage.objects.filter(show=self.show, name="hold_reminder").count() <= len(self.orders)
        assert Show.objects.get(pk=self.show.pk).state == ("open" if self.is_open else "closed")

"""Money in the machine: payments of every kind, other money, corrections, and what goes back."""

import uuid

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from campaign.errors import BookedOtherwise, NotInThisState
from campaign.models import Account, CashEntry, Refund
from campaign.queries.money import received_for
from campaign.services.payments import correct_entry, record_other_money, record_payment
from campaign.services.refunds import call_off_refund, give_back, owe_rest, settle_refund
from tests.faults.machine_model import PICK, WAYS, Known, fired
from tests.faults.waiting_acts import WaitingActs


class MoneyActs(WaitingActs):
    """Rules about what comes and goes for orders, and about the other lines of the cash book."""

    def waiting(self) -> list[Known]:
        return [known for known in self.orders if known.state == "held"]

    @precondition(lambda self: self.waiting())
    @rule(pick=PICK, way=WAYS, fee=st.sampled_from([0, 35]))
    def pay_all(self, pick: int, way: str, fee: int) -> None:
        self._pay_one_of(self.waiting(), pick=pick, share="all", way=way, fee=fee)

    @precondition(lambda self: self.waiting())
    @rule(pick=PICK, way=WAYS)
    def pay_part(self, pick: int, way: str) -> None:
        self._pay_one_of(self.waiting(), pick=pick, share="part", way=way, fee=0)

    @precondition(lambda self: self.orders)
    @rule(pick=PICK, way=WAYS)
    def pay_over(self, pick: int, way: str) -> None:
        self._pay_one_of(self.waiting() or self.orders, pick=pick, share="over", way=way, fee=0)

    @precondition(lambda self: self.orders)
    @rule(pick=PICK, way=WAYS)
    def pay_whatever_it_is(self, pick: int, way: str) -> None:
        self._pay_one_of(self.orders, pick=pick, share="one", way=way, fee=0)

    def unpaid(self) -> list[Known]:
        return [known for known in self.orders if known.state == "held" and known.received <= 0]

    @precondition(lambda self: self.unpaid() or any(known.state == "lapsed" for known in self.orders))
    @rule(pick=PICK, way=WAYS)
    def pay_late(self, pick: int, way: str) -> None:
        if self.unpaid():
            self.time_passes(hours=70)
        lapsed = [known for known in self.orders if known.state == "lapsed"]
        self._pay_one_of(lapsed, pick=pick, share="all", way=way, fee=0)
        fired["pay late"] += 1

    def _pay_one_of(self, fitting: list[Known], *, pick: int, share: str, way: str, fee: int) -> None:
        known = fitting[pick % len(fitting)]
        missing = max(1, known.total - known.received)
        amount = {"all": missing, "part": max(1, missing // 2), "over": missing + 333, "one": 1}[share]
        fee = min(fee, amount)
        key = f"m{len(self.entries)}-{uuid.uuid4().hex[:8]}"
        self._pay(known, key=key, amount=amount, way=way, fee=fee)
        known.payments.append((key, amount, way))
        fired[f"pay {share}"] += 1

    def _pay(self, known: Known, *, key: str, amount: int, way: str, fee: int) -> None:
        can_return = self.can_take(known.copies)
        record_payment(
            pledge=known.pledge, key=key, amount_minor=amount, fee_minor=fee, way=way, happened_on=self.now.date(),
            now=self.now,
        )  # fmt: skip
        known.received += amount
        self.bank_in += amount - fee
        self.costs += fee
        self.entries.append(CashEntry.objects.get(key=f"payment:{key}"))
        if known.received >= known.total and (known.state == "held" or (known.state == "lapsed" and can_return)):
            known.state = "paid"

    @precondition(lambda self: any(known.payments for known in self.orders))
    @rule(pick=PICK, more=st.sampled_from([0, 5]))
    def pay_the_same_again(self, pick: int, more: int) -> None:
        paid = [known for known in self.orders if known.payments]
        known = paid[pick % len(paid)]
        key, amount, way = known.payments[pick % len(known.payments)]
        try:
            record_payment(
                pledge=known.pledge, key=key, amount_minor=amount + more, fee_minor=0, way=way,
                happened_on=self.now.date(), now=self.now,
            )  # fmt: skip
            assert more == 0
        except BookedOtherwise:
            assert more
        fired["pay again"] += 1

    @rule(kind=st.sampled_from(["own", "sponsor", "grant", "cost"]), amount=st.integers(1, 9_000), twice=st.booleans())
    def other_money(self, kind: str, amount: int, twice: bool) -> None:
        key = uuid.uuid4().hex
        for _ in range(2 if twice else 1):
            entry = record_other_money(
                show=self.show, key=key, kind=kind, amount_minor=amount, happened_on=self.now.date(), text=kind,
                now=self.now,
            )  # fmt: skip
        sign = -1 if kind == "cost" else 1
        self.bank_in += sign * amount
        self.other += sign * amount
        self.entries.append(entry)
        fired["other money"] += 1

    @precondition(lambda self: self.entries)
    @rule(pick=PICK)
    def correct(self, pick: int) -> None:
        entry = self.entries.pop(pick % len(self.entries))
        known = next((known for known in self.orders if known.pledge.pk == entry.pledge_id), None)
        if (
            known
            and received_for(known.pledge)
            - sum(refund.amount_minor for refund in self.owed() if refund.pledge_id == known.pledge.pk)
            < entry.amount_minor
        ):
            return  # what is promised back would not be there: the artist is shown that, and it is another story
        for _ in range(2):
            correct_entry(entry=entry, reason="typed wrongly", now=self.now)
        if known:
            known.received -= entry.amount_minor
            self.bank_in -= entry.amount_minor
        else:
            sign = -1 if entry.debit == Account.COSTS else 1
            self.bank_in -= sign * entry.amount_minor
            self.other -= sign * entry.amount_minor
        fired["correct"] += 1

    @precondition(lambda self: self.orders)
    @rule(pick=PICK)
    def owe_all_that_is_left(self, pick: int) -> None:
        known = self.some(pick, "cancelled", "lapsed")
        if known is None:
            return
        rows = owe_rest(pledge=known.pledge, key=f"rest-{uuid.uuid4().hex[:12]}", reason="left", now=self.now)
        assert sum(row.amount_minor for row in rows) <= known.received
        fired["owe"] += 1

    def owed(self) -> list[Refund]:
        return list(Refund.objects.filter(pledge__show=self.show, state="owed").order_by("pk"))

    @precondition(lambda self: self.seen.owed)
    @rule(pick=PICK, twice=st.booleans())
    def settle(self, pick: int, twice: bool) -> None:
        owed = self.owed()
        if not owed:
            return
        refund = owed[pick % len(owed)]
        for _ in range(2 if twice else 1):
            settle_refund(refund=refund, happened_on=self.now.date(), now=self.now)
        self._went(refund.pledge_id, refund.amount_minor)
        fired["settle"] += 1

    def _went(self, pledge_pk: int, amount: int) -> None:
        known = next(known for known in self.orders if known.pledge.pk == pledge_pk)
        known.received -= amount
        self.bank_in -= amount

    @precondition(lambda self: self.seen.owed)
    @rule(pick=PICK)
    def call_off(self, pick: int) -> None:
        owed = self.owed()
        if owed:
            call_off_refund(refund=owed[pick % len(owed)], reason="kept", now=self.now)
            fired["call off"] += 1

    @precondition(lambda self: any(known.received > 0 for known in self.orders))
    @rule(pick=PICK, much=st.booleans())
    def give_back_by_hand(self, pick: int, much: bool) -> None:
        rich = [known for known in self.orders if known.received > 0]
        known = rich[pick % len(rich)]
        amount = known.received + 1 if much else max(1, known.received // 3)
        key = f"hand-{uuid.uuid4().hex[:12]}"
        try:
            give_back(
                pledge=known.pledge, key=key, amount_minor=amount, way="transfer", happened_on=self.now.date(),
                now=self.now,
            )  # fmt: skip
        except NotInThisState:
            assert amount > known.received
            fired["give back, too much"] += 1
            return
        assert amount <= known.received
        known.received -= amount
        self.bank_in -= amount
        fired["give back"] += 1

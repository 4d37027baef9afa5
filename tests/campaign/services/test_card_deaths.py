"""Whatever row a card payment was about to write when its process died: the end is the one of an undisturbed run."""

from datetime import timedelta

import pytest
from django.db import connection

from campaign.models import CardPayment, CashEntry, OutboxMessage, ProcessorEvent, Refund
from campaign.services.card_events import apply_events, take_event
from campaign.services.card_refunds import send_due_refunds
from campaign.services.cards import begin_card_payment
from campaign.services.owing import owe_refund
from tests.builders import NOW, make_draft, place
from tests.card_stand_in import StandIn

WRITES = 21


class Killed(BaseException):
    """Nobody catches it, as nobody catches the end of a process."""


class KillAt:
    """Dies before the write number `count`, counted from 1; 0 never dies."""

    def __init__(self, count: int) -> None:
        self.count, self.writes = count, 0

    def __call__(self, execute, sql, params, many, context):
        if sql.startswith(("INSERT", "UPDATE", "DELETE")):
            self.writes += 1
            if self.writes == self.count:
                raise Killed
        return execute(sql, params, many, context)


def begin(pledge, now):
    return begin_card_payment(pledge=pledge, success_url="http://a.example/s", cancel_url="http://a.example/c", now=now)


def live(pledge, stand_in, *, kill_at):
    """A page, its payment, its message, a part of the money back; the process dies once and goes on an hour later."""
    kill, now = KillAt(kill_at), NOW

    def do(act):
        nonlocal now
        while True:
            try:
                with connection.execute_wrapper(kill):
                    return act()
            except Killed:
                now += timedelta(hours=1)
                stand_in.clock = now.timestamp

    payment = do(lambda: begin(pledge, now))
    stand_in.pay(payment.session_id)
    for _ in range(2):
        for event in list(stand_in.events):
            body, signature = StandIn.message(event)
            do(lambda body=body, signature=signature: take_event(body=body, signature=signature, now=now))
        do(lambda: apply_events(now=now))
        if not Refund.objects.exists():
            owe_refund(pledge=pledge, amount_minor=1_000, key="back", reason="Asked for", now=now)
        do(lambda: send_due_refunds(now=now))
    return kill.writes


def books(stand_in):
    return {
        "entries": sorted(key.split(":")[0] for key in CashEntry.objects.values_list("key", flat=True)),
        "sums": sorted(CashEntry.objects.values_list("debit", "credit", "amount_minor")),
        "mails": sorted(OutboxMessage.objects.values_list("name", flat=True)),
        "payments": list(CardPayment.objects.values_list("state", flat=True)),
        "refunds": list(Refund.objects.values_list("state", flat=True)),
        "waiting": ProcessorEvent.objects.filter(applied_at=None).count(),
        "there": (len(stand_in.sessions), len(stand_in.charges), len(stand_in.refunds), stand_in.balance()),
    }


UNDISTURBED = {
    "entries": ["fee", "payment", "refund"],
    "mails": ["payment_received", "pledge_placed", "refund_made"],
    "payments": ["paid"],
    "refunds": ["done"],
    "waiting": 0,
}


@pytest.mark.parametrize("kill_at", range(WRITES + 1))
def test_dying_before_a_write_changes_nothing_in_the_end(stand_in, db, kill_at):
    pledge = place(make_draft(state="open"), way="card")
    writes = live(pledge, stand_in, kill_at=kill_at)
    found = books(stand_in)
    assert {name: found[name] for name in UNDISTURBED} == UNDISTURBED
    assert found["there"][:3] == (1, 1, 1)
    assert sum(amount for debit, _, amount in found["sums"] if debit == "refunds") == 1_000
    in_book = sum(a * ((d == "processor") - (c == "processor")) for d, c, a in found["sums"])
    assert in_book == found["there"][3]
    assert kill_at or writes == WRITES, "there is a test for every write"

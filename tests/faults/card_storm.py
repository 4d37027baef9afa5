"""
The two weathers of card payments: a storm of messages, and a processor that fails four calls in five.

Each gives its figures; whoever calls decides where they go. Both want a database, the `stand_in` fixture and its keys.
"""

import json
import random
import time
from collections import Counter
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.test import Client

from campaign.errors import TemporaryFailure
from campaign.models import Account, CardPayment, CashEntry, ProcessorEvent, Refund, Show
from campaign.queries.money import read_balances
from campaign.services.card_events import apply_events
from campaign.services.card_refunds import send_due_refunds
from campaign.services.cards import begin_card_payment
from campaign.services.owing import owe_refund
from tests.builders import NOW, place
from tests.card_stand_in import StandIn

FAILURES = {"500": 0.1, "500_after": 0.1, "timeout": 0.2, "reset": 0.2, "429": 0.2}
MESSAGES = "/cards/messages"


def begin(show: Show, *, gift_minor: int, now: datetime = NOW) -> CardPayment:
    """A gift by card with its page open."""
    pledge = place(show, way="card", copies=0, gift_minor=gift_minor)
    return begin_card_payment(pledge=pledge, success_url="http://a.example/s", cancel_url="http://a.example/c", now=now)


def differences(show: Show, stand_in: StandIn) -> dict[str, tuple[int, int]]:
    """Pages in the show's currency of whose money the cash book and the processor disagree: what each has."""
    theirs: Counter[str] = Counter()
    for session in stand_in.sessions.values():
        if session["payment_intent"] and session["currency"] == "eur":
            theirs[session["id"]] += stand_in.charge_of(session["payment_intent"])["amount"]
    ours: Counter[str] = Counter()
    for key, amount in CashEntry.objects.filter(show=show, credit=Account.ORDERS).values_list("key", "amount_minor"):
        ours[key.removeprefix("payment:card:")] += amount
    return {key: (ours[key], theirs[key]) for key in ours | theirs if ours[key] != theirs[key]}


def balance_of(stand_in: StandIn) -> int:
    """What lies with the processor in the show's currency, fees taken off."""
    return sum(move["net"] for move in stand_in.moves.values() if move["currency"] == "eur" and not move["payout"])


def storm_figures(
    *, show: Show, stand_in: StandIn, events: int = 200, copies: int = 5, seed: int = 20
) -> dict[str, Any]:
    """
    `events` messages, each `copies` times in any order; a tenth of the deliveries forged, a tenth stale.

    Of the events a twentieth is of pages paid with another sum, a twentieth in another currency, and a tenth lies: it
    says "paid" of a page that nobody paid. Messages are applied while they still come in.
    """
    chance, started = random.Random(seed), time.monotonic()
    payments = [begin(show, gift_minor=1_000 + number) for number in range(events)]
    few = max(1, events // 20)
    wrong_sum, wrong_currency, liars = payments[:few], payments[few : 2 * few], payments[2 * few : 4 * few]
    for payment in payments:
        if payment in liars:
            claim = stand_in.sessions[payment.session_id] | {"payment_status": "paid", "status": "complete"}
            stand_in.tell("checkout.session.completed", claim)
        else:
            amount = payment.amount_minor * 7 if payment in wrong_sum else None
            stand_in.pay(payment.session_id, amount=amount, currency="usd" if payment in wrong_currency else "")
    deliveries = [event for event in stand_in.events for _ in range(copies)]
    chance.shuffle(deliveries)
    answers: Counter[tuple[str, int]] = Counter()
    browser = Client()
    for number, event in enumerate(deliveries):
        how = chance.choices(["honest", "forged", "stale"], weights=[8, 1, 1])[0]
        answers[how, _deliver(browser, event, how=how, chance=chance)] += 1
        if number % 100 == 99:
            apply_events(now=NOW)
    while apply_events(now=NOW):
        pass
    forged_rows = ProcessorEvent.objects.filter(event_id__startswith="evt_forged").count()
    balances = read_balances(show)
    return {
        "deliveries": len(deliveries),
        "honest_kept": answers["honest", 200],
        "forged_sent": answers["forged", 400] + answers["forged", 200],
        "forged_applied": answers["forged", 200] + forged_rows,
        "stale_sent": answers["stale", 400] + answers["stale", 200],
        "stale_applied": answers["stale", 200],
        "other_answers": sum(n for (_, status), n in answers.items() if status not in (200, 400)),
        "events_applied": ProcessorEvent.objects.filter(applied_at__isnull=False).count(),
        "wrong_shown": ProcessorEvent.objects.filter(is_trouble=True).count(),
        "wrong_wanted": 2 * few,
        "unpaid_booked": CashEntry.objects.filter(pledge__in=[p.pledge for p in [*liars, *wrong_currency]]).count(),
        "books_minor": -balances[Account.ORDERS],
        "processor_differs": len(differences(show, stand_in)),
        "balance_differs_minor": balances[Account.PROCESSOR] - balance_of(stand_in),
        "seconds": round(time.monotonic() - started, 1),
    }


def _deliver(browser: Client, event: dict[str, Any], *, how: str, chance: random.Random) -> int:
    """The status of the answer to one delivery; a forged one has another id and claims another page was paid."""
    if how == "forged":
        event = json.loads(json.dumps(event)) | {"id": f"evt_forged_{chance.getrandbits(40):x}"}
        body, signature = StandIn.message(event, secret="whsec_somebody_else")
    else:
        body, signature = StandIn.message(event, age_s=chance.uniform(310, 90_000) if how == "stale" else 0)
    headers = {"Stripe-Signature": signature}
    return browser.post(MESSAGES, data=body, content_type="application/json", headers=headers).status_code


def failing_processor_figures(
    *, show: Show, stand_in: StandIn, payments: int = 24, refunds: int = 8, seed: int = 5
) -> dict[str, Any]:
    """
    Pages opened, paid, looked up and given back while a fifth of the calls each are answered with an error of the 500
    class (half of them after the act was done), time out after success, are reset, or are told to come later.

    Everybody tries again until it works: the backer by the button, the worker by its leases.
    """
    started, now = time.monotonic(), NOW
    stand_in.chance, stand_in.fail = random.Random(seed), dict(FAILURES)
    settings.CARD_SECONDS, stand_in.hang_s = 0.08, 0.1
    tries = 0
    for number in range(payments):
        pledge = place(show, way="card", copies=0, gift_minor=1_000 + number)
        payment = None
        while payment is None or payment.state == CardPayment.State.WANTED:
            tries += 1
            try:
                payment = begin_card_payment(
                    pledge=pledge, success_url="http://a.example/s", cancel_url="http://a.example/c", now=now
                )
            except TemporaryFailure:
                continue
        stand_in.pay(payment.session_id)
    browser = Client()
    for event in stand_in.events:
        _deliver(browser, event, how="honest", chance=stand_in.chance)
    rounds = 0
    while ProcessorEvent.objects.filter(applied_at=None).exists() and rounds < 500:
        rounds, now = rounds + 1, now + timedelta(hours=1, seconds=1)
        apply_events(now=now)
    for payment in CardPayment.objects.filter(state="paid").select_related("pledge").order_by("pk")[:refunds]:
        owe_refund(pledge=payment.pledge, amount_minor=600, key=f"back:{payment.pk}", reason="Asked for", now=now)
    while Refund.objects.exclude(state="done").exists() and rounds < 1_000:
        rounds, now = rounds + 1, now + timedelta(hours=1, seconds=1)
        send_due_refunds(now=now)
    balances = read_balances(show)
    charged = Counter(c["metadata"].get("wallful_payment") for c in stand_in.charges.values())
    back = Counter(refund["metadata"]["wallful_refund"] for refund in stand_in.refunds.values())
    return {
        "payments": payments,
        "presses_of_the_button": tries,
        "rounds_of_the_worker": rounds,
        "failures": dict(sorted(Counter(stand_in.failed).items())),
        "charged_once": sum(count == 1 for count in charged.values()),
        "charged_more_often": sum(count > 1 for count in charged.values()),
        "refunds": refunds,
        "given_back_once": sum(count == 1 for count in back.values()),
        "given_back_more_often": sum(count > 1 for count in back.values()),
        "refunds_done": Refund.objects.filter(state="done").count(),
        "processor_differs": len(differences(show, stand_in)),
        "balance_differs_minor": balances[Account.PROCESSOR] - balance_of(stand_in),
        "seconds": round(time.monotonic() - started, 1),
    }

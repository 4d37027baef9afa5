"""
Recomputes every derived figure of the campaign from its rows, apart from the code that derives it every day.

Reads only. Each check says how much it looked at and the first difference it met.
"""

import json
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import Any

from campaign.measures.money import portion_bp
from campaign.models import Account, CashEntry, Copy, Edition, FixedPlan, Job, OutboxMessage, Pledge, Show, StaircaseRun
from campaign.planning import plan_at, verify_plan
from campaign.queries.money import read_money
from campaign.queries.plan_request import CODE_VERSION, dump_request, fingerprint_of, load_request, read_plan_request
from campaign.queries.standing import load_staircase
from campaign.references import make_reference

State = Pledge.State


@dataclass(frozen=True, slots=True)
class Finding:
    """What one check looked at, and the first difference in words; None when all agrees."""

    subject: str
    looked_at: int
    difference: str | None

    @property
    def line(self) -> str:
        """One line for the terminal."""
        verdict = f"DIFFERS: {self.difference}" if self.difference else "agrees"
        return f"{self.subject} ({self.looked_at}): {verdict}"


Check = Callable[[], Finding]


def finding(subject: str, differences: Iterator[str | None]) -> Finding:
    """Go through one check, which gives a value for everything it looks at: None where it agrees."""
    looked_at = 0
    for difference in differences:
        looked_at += 1
        if difference:
            return Finding(subject, looked_at, difference)
    return Finding(subject, looked_at, None)


def check_copies() -> Finding:
    """Every edition has the copies 1 to N, each once."""
    return finding("copies of each edition", _copies())


def _copies() -> Iterator[str | None]:
    for edition in Edition.objects.all():
        numbers = list(edition.copies.order_by("number").values_list("number", flat=True))
        wrong = numbers != list(range(1, edition.size + 1))
        yield f"edition {edition.code} has {len(numbers)} copies, not 1 to {edition.size}" if wrong else None


def check_holds() -> Finding:
    """Waiting orders hold their copies, paid ones have them, ended ones have none."""
    return finding("copies of each order", _holds())


def _holds() -> Iterator[str | None]:
    expected = {State.HELD: Copy.State.HELD, State.PAID: Copy.State.SPOKEN_FOR}
    copies: defaultdict[int, list[tuple[str, int]]] = defaultdict(list)
    for pledge_id, state, edition_id in Copy.objects.exclude(pledge=None).values_list("pledge", "state", "edition"):
        copies[pledge_id].append((state, edition_id))
    for pledge in Pledge.objects.all().iterator():
        copy_state = expected.get(State(pledge.state))
        wanted = [(copy_state.value, pledge.edition_id)] * pledge.copies if copy_state else []
        found = copies[pledge.pk]
        yield (
            f"order {pledge.code} is {pledge.state} with {pledge.copies} copies, but has {found}"
            if found != wanted
            else None
        )


def check_orders() -> Finding:
    """Currency and reference of every order are what they must be."""
    return finding("orders", _orders())


def _orders() -> Iterator[str | None]:
    for pledge in Pledge.objects.select_related("show").iterator():
        if pledge.currency != pledge.show.currency:
            yield f"order {pledge.code} is in {pledge.currency}, its show in {pledge.show.currency}"
        elif pledge.reference != make_reference(pledge.code):
            yield f"order {pledge.code} has the reference {pledge.reference}"
        else:
            yield None


def check_cash_book() -> Finding:
    """Every entry is in its show's currency, and every correction mirrors what it corrects."""
    return finding("cash book entries", _cash_book())


def _cash_book() -> Iterator[str | None]:
    for entry in CashEntry.objects.select_related("show", "pledge", "corrects").iterator():
        wrong = entry.corrects
        mirrored = wrong and (wrong.credit, wrong.debit, wrong.amount_minor, wrong.pledge_id)
        if entry.currency != entry.show.currency:
            yield f"entry {entry.pk} is in {entry.currency}, its show in {entry.show.currency}"
        elif entry.pledge and entry.pledge.show_id != entry.show_id:
            yield f"entry {entry.pk} names an order of another show"
        elif mirrored and mirrored != (entry.debit, entry.credit, entry.amount_minor, entry.pledge_id):
            yield f"entry {entry.pk} does not mirror entry {wrong.pk}, which it corrects" if wrong else None
        else:
            yield None


def check_payments() -> Finding:
    """Every paid order was paid in full once, and no order waits that has been."""
    return finding("payments of each order", _payments())


def _payments() -> Iterator[str | None]:
    paid_in: Counter[int] = Counter()
    net: Counter[int] = Counter()
    rows = CashEntry.objects.exclude(pledge=None).values_list("pledge", "debit", "credit", "amount_minor", "corrects")
    for pledge_id, debit, credit, amount, corrects in rows.iterator():
        if credit == Account.ORDERS and corrects is None:
            paid_in[pledge_id] += amount
        net[pledge_id] += amount * ((credit in _BACKERS) - (debit in _BACKERS))
    for pledge in Pledge.objects.iterator():
        if pledge.state == State.PAID and paid_in[pledge.pk] < pledge.total_minor:
            yield f"order {pledge.code} is paid, but {paid_in[pledge.pk]} of {pledge.total_minor} came in"
        elif pledge.state == State.HELD and net[pledge.pk] >= pledge.total_minor:
            yield f"order {pledge.code} waits for payment, but all of its {pledge.total_minor} is there"
        else:
            yield None


_BACKERS = (Account.ORDERS, Account.REFUNDS)


def check_wall_money() -> Finding:
    """Wall money in hand, added up row by row, is what the site says."""
    return finding("wall money of each show", _wall_money())


def _wall_money() -> Iterator[str | None]:
    for show in Show.objects.all():
        total = _wall_money_of(show)
        total -= portion_bp(max(0, total), bp=show.contingency_bp)
        said = read_money(show).in_hand.total_minor
        yield f"show {show.code} has {total} in hand, the site says {said}" if total != said else None


def _wall_money_of(show: Show) -> int:
    signs = {Account.OWN: 1, Account.SPONSORS: 1, Account.GRANTS: 1, Account.FEES: 1, Account.COSTS: 1}
    total = 0
    received: Counter[int | None] = Counter()
    for entry in CashEntry.objects.filter(show=show).iterator():
        # Money that came in stands on the credit side, money that was spent on the debit side: both by one sign.
        total += entry.amount_minor * (signs.get(Account(entry.credit), 0) - signs.get(Account(entry.debit), 0))
        received[entry.pledge_id] += entry.amount_minor * ((entry.credit in _BACKERS) - (entry.debit in _BACKERS))
    for pledge in Pledge.objects.filter(show=show, state=State.PAID).iterator():
        costs = pledge.make_cost_minor + pledge.pack_cost_minor + pledge.postage_cost_minor + pledge.set_aside_minor
        total += min(received[pledge.pk], pledge.total_minor) - costs
    return total


def check_mails() -> Finding:
    """Every act that must tell somebody has its mail."""
    return finding("mails of each order", _mails())


def _mails() -> Iterator[str | None]:
    keys = set(OutboxMessage.objects.values_list("key", flat=True))
    told = {State.PAID: "payment_received", State.CANCELLED: "pledge_cancelled", State.LAPSED: "pledge_lapsed"}
    for code, state in Pledge.objects.values_list("code", "state").iterator():
        wanted = ["pledge_placed", *([told[State(state)]] if state in told else [])]
        missing = [name for name in wanted if f"{name}:{code}" not in keys]
        yield f"order {code} is {state}, but its mail {missing[0]} was never written" if missing else None


def check_batches() -> Finding:
    """A batch of mail has as many messages as it says."""
    return finding("batches of mail", _batches())


def _batches() -> Iterator[str | None]:
    for job in Job.objects.filter(messages__isnull=False).distinct():
        count = job.messages.count()
        yield f"batch {job.code} says {job.total} messages and has {count}" if count != job.total else None


def check_staircases() -> Finding:
    """Every stored staircase rises, belongs to its inputs, and each of its plans passes the verifier."""
    return finding("steps of the staircases", _staircases())


def _staircases() -> Iterator[str | None]:
    for run in StaircaseRun.objects.filter(code_version=CODE_VERSION).select_related("show"):
        where = f"staircase {run.pk} of {run.show.code}"
        if fingerprint_of(run.request) != run.fingerprint:
            yield f"{where} does not belong to the inputs stored with it"
        is_newest = run.inputs_version == run.show.inputs_version
        if is_newest and fingerprint_of(dump_request(read_plan_request(run.show))) != run.fingerprint:
            yield f"{where} is not of the show's inputs as they are"
        yield from _steps(run, where=where)


def _steps(run: StaircaseRun, *, where: str) -> Iterator[str | None]:
    request, staircase = load_request(run.request), load_staircase(run)
    for below, above in pairwise(staircase.steps):
        if not (below.money_minor < above.money_minor and below.worth < above.worth):
            yield f"{where} does not rise at {above.money_minor}"
    for step in staircase.steps:
        faults = verify_plan(request, plan_at(request, staircase, step.money_minor))
        yield f"{where}, plan at {step.money_minor}: {faults[0]}" if faults else None


def check_fixed_plans() -> Finding:
    """A plan that closing fixed is the best of its staircase for its money."""
    return finding("fixed plans", _fixed_plans())


def _fixed_plans() -> Iterator[str | None]:
    for fixed in FixedPlan.objects.select_related("run", "show"):
        plan = plan_at(load_request(fixed.run.request), load_staircase(fixed.run), fixed.money_minor)
        differs = _plain(asdict(plan)) != fixed.plan and fixed.run.code_version == CODE_VERSION
        too_dear = fixed.cost_minor > max(0, fixed.money_minor)
        yield f"the fixed plan of {fixed.show.code} is not its staircase's" if differs or too_dear else None


def _plain(value: object) -> Any:
    """As JSON gives it back: tuples become lists."""
    return json.loads(json.dumps(value))


CHECKS: tuple[Check, ...] = (
    check_copies,
    check_holds,
    check_orders,
    check_cash_book,
    check_payments,
    check_wall_money,
    check_mails,
    check_batches,
    check_staircases,
    check_fixed_plans,
)

"""The cash book, what it says of each order, refunds and wall money, added up apart from the daily sums."""

from collections import Counter
from collections.abc import Iterator

from django.db.models import Sum

from campaign.measures.money import portion_bp
from campaign.models import Account, CashEntry, Copy, Pledge, Refund, Show
from campaign.queries.money import read_money
from campaign.services.checks.findings import Finding, finding
from campaign.services.owing import OPEN, WAY_OF

State = Pledge.State
_BACKERS = (Account.ORDERS, Account.REFUNDS)


def check_cash_book() -> Finding:
    """Every entry is in its show's currency, and every correction mirrors what it corrects."""
    return finding("cash book entries", _cash_book())


def _cash_book() -> Iterator[str | None]:
    for entry in CashEntry.objects.select_related("show", "pledge", "funder", "corrects").iterator():
        wrong = entry.corrects
        mirrored = wrong and (wrong.credit, wrong.debit, wrong.amount_minor, wrong.pledge_id)
        if entry.currency != entry.show.currency:
            yield f"entry {entry.pk} is in {entry.currency}, its show in {entry.show.currency}"
        elif entry.pledge and entry.pledge.show_id != entry.show_id:
            yield f"entry {entry.pk} names an order of another show"
        elif entry.funder and entry.funder.show_id != entry.show_id:
            yield f"entry {entry.pk} names a funder of another show"
        elif mirrored and mirrored != (entry.debit, entry.credit, entry.amount_minor, entry.pledge_id):
            yield f"entry {entry.pk} does not mirror entry {wrong.pk}, which it corrects" if wrong else None
        else:
            yield None


def check_payments() -> Finding:
    """Every paid order was paid in full once, and no order waits that has been."""
    return finding("payments of each order", _payments())


def _payments() -> Iterator[str | None]:
    paid_in: Counter[int] = Counter()
    rows = CashEntry.objects.filter(credit=Account.ORDERS, corrects=None).exclude(pledge=None)
    for pledge_id, amount in rows.values_list("pledge", "amount_minor").iterator():
        paid_in[pledge_id] += amount
    net, given_back = _net_received(), _given_back()
    for pledge in Pledge.objects.select_related("show").iterator():
        is_on = pledge.show.state != Show.State.CALLED_OFF
        if pledge.state == State.PAID and paid_in[pledge.pk] < pledge.total_minor:
            yield f"order {pledge.code} is paid, but {paid_in[pledge.pk]} of {pledge.total_minor} came in"
        elif is_on and pledge.state == State.HELD and net[pledge.pk] >= pledge.total_minor:
            yield f"order {pledge.code} waits for payment, but all of its {pledge.total_minor} is there"
        elif given_back[pledge.pk] > paid_in[pledge.pk]:
            yield f"order {pledge.code} was given back {given_back[pledge.pk]}, only {paid_in[pledge.pk]} came for it"
        else:
            yield None


def _net_received() -> Counter[int | None]:
    net: Counter[int | None] = Counter()
    rows = CashEntry.objects.exclude(pledge=None).values_list("pledge", "debit", "credit", "amount_minor")
    for pledge_id, debit, credit, amount in rows.iterator():
        net[pledge_id] += amount * ((credit in _BACKERS) - (debit in _BACKERS))
    return net


def _given_back() -> Counter[int | None]:
    """What went back and was not undone, without what the payers' banks took by themselves."""
    back: Counter[int | None] = Counter()
    rows = CashEntry.objects.filter(debit=Account.REFUNDS, corrects=None, corrected_by=None)
    for pledge_id, amount in rows.exclude(key__startswith="card-dispute:").values_list("pledge", "amount_minor"):
        back[pledge_id] += amount
    return back


def _taken_by_banks() -> Counter[int | None]:
    """What the payers' banks took back by themselves: it may be more than was left of an order's money."""
    taken: Counter[int | None] = Counter()
    rows = CashEntry.objects.filter(key__startswith="card-dispute:", debit=Account.REFUNDS)
    for pledge_id, amount in rows.values_list("pledge", "amount_minor"):
        taken[pledge_id] += amount
    return taken


def check_refunds() -> Finding:
    """Every sum given back is booked once as it says, and no order is promised more than was received for it."""
    return finding("sums given back", _refunds())


def _refunds() -> Iterator[str | None]:
    net, taken = _net_received(), _taken_by_banks()
    promised: Counter[int] = Counter()
    for refund in Refund.objects.select_related("entry", "pledge").iterator():
        yield _refund_fault(refund)
        if refund.state in OPEN:
            promised[refund.pledge_id] += refund.amount_minor
            if promised[refund.pledge_id] > net[refund.pledge_id] + taken[refund.pledge_id]:
                yield f"order {refund.pledge.code} is promised more back than the {net[refund.pledge_id]} it has paid"


def _refund_fault(refund: Refund) -> str | None:
    entry = refund.entry
    if entry is None:
        return f"refund {refund.key} is done and not booked" if refund.state == Refund.State.DONE else None
    booked = (entry.key, entry.debit, entry.amount_minor, entry.pledge_id, WAY_OF.get(Account(entry.credit)))
    said = (f"refund:{refund.key}", "refunds", refund.amount_minor, refund.pledge_id, refund.way)
    return None if booked == said else f"refund {refund.key} is booked otherwise than it says"


def check_owed() -> Finding:
    """Whatever came for a cancelled order is written down to go back, unless the artist took it off the list."""
    return finding("money of ended orders", _owed())


def _owed() -> Iterator[str | None]:
    net = _net_received()
    written: Counter[int] = Counter()
    states = (*OPEN, Refund.State.CALLED_OFF)
    for pledge_id, amount in Refund.objects.filter(state__in=states).values_list("pledge", "amount_minor"):
        written[pledge_id] += amount
    for pk, code in Pledge.objects.filter(state=State.CANCELLED).values_list("pk", "code").iterator():
        missing = net[pk] - written[pk]
        yield f"order {code} is cancelled, and {missing} of it is on no list to go back" if missing > 0 else None


def check_wall_money() -> Finding:
    """Wall money in hand, added up row by row, is what the site says."""
    return finding("wall money of each show", _wall_money())


def _wall_money() -> Iterator[str | None]:
    for show in Show.objects.all():
        total = wall_money_of(show)
        said = read_money(show).in_hand.total_minor
        yield f"show {show.code} has {total} in hand, the site says {said}" if total != said else None


def wall_money_of(show: Show) -> int:
    """Wall money in hand from the rows alone, minor units."""
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
    loose = Copy.objects.filter(edition__show=show, pledge=None, is_printed=True).exclude(state=Copy.State.PROOF)
    loose_minor: int = loose.aggregate(total=Sum("edition__make_cost_minor", default=0))["total"]
    total -= loose_minor
    return total - portion_bp(max(0, total), bp=show.contingency_bp)

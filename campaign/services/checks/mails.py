"""No mail lost: every act that must tell somebody has its message, and what waits for somebody is counted."""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace

from django.db.models import Q, QuerySet

from campaign.models import Job, OutboxMessage, Pledge, Refund, Waiter
from campaign.services.checks.findings import Finding, finding

State = Pledge.State
# A person whose data was removed: their mails may be gone with it.
_THERE = Q(erased_at=None) & ~Q(email="")
# What happened, to which orders, and how the mail's key begins; one of several where they stand in a row.
ACTS: tuple[tuple[Callable[[], QuerySet[Pledge]], tuple[str, ...]], ...] = (
    (lambda: Pledge.objects.filter(_THERE), ("pledge_placed",)),
    (lambda: Pledge.objects.filter(_THERE, state=State.PAID), ("payment_received",)),
    (lambda: Pledge.objects.filter(_THERE, state=State.LAPSED), ("pledge_lapsed",)),
    (
        lambda: Pledge.objects.filter(_THERE, state=State.CANCELLED),
        ("pledge_cancelled", "late_cancelled", "show_called_off"),
    ),
    (lambda: Pledge.objects.filter(_THERE, refunds__batch__kind="refunds").distinct(), ("show_called_off",)),
    (lambda: Pledge.objects.filter(_THERE).exclude(reminded_at=None), ("hold_reminder",)),
    (lambda: Pledge.objects.filter(_THERE).exclude(address_asked_at=None), ("confirm_address",)),
    (lambda: Pledge.objects.filter(_THERE).exclude(address_reminded_at=None), ("confirm_address_again",)),
)


def check_mails() -> Finding:
    """Every act of the table, every sum given back and every offer to the waiting list has its mail."""
    return finding("mails of each order", _mails())


def _mails() -> Iterator[str | None]:
    keys = set(OutboxMessage.objects.values_list("key", flat=True))
    for orders, names in ACTS:
        for code, state in orders().order_by().values_list("code", "state").iterator():
            has_one = any(f"{name}:{code}" in keys for name in names)
            yield None if has_one else f"order {code} is {state}, but its mail {names[0]} was never written"
    done = Refund.objects.filter(state=Refund.State.DONE, pledge__erased_at=None).exclude(pledge__email="")
    for pk, code in done.values_list("pk", "pledge__code").iterator():
        is_told = f"refund_made:{code}:{pk}" in keys
        yield None if is_told else f"money went back for order {code}, but its mail refund_made was never written"
    offered = Waiter.objects.exclude(email="").exclude(offered_at=None).values_list("code", "state")
    for code, state in offered.iterator():
        owed = ["copies_offered", *(["offer_lapsed"] if state == Waiter.State.LAPSED else [])]
        lost = [name for name in owed if f"{name}:{code}" not in keys]
        yield f"{code} is {state}, but its mail {lost[0]} was never written" if lost else None


def check_batches() -> Finding:
    """A batch of mail has as many messages as it says."""
    return finding("batches of mail", _batches())


def _batches() -> Iterator[str | None]:
    for job in Job.objects.filter(messages__isnull=False).distinct():
        count = job.messages.count()
        yield f"batch {job.code} says {job.total} messages and has {count}" if count != job.total else None


def check_outbox() -> Finding:
    """Messages under way have a lease, others have none; stuck and uncertain ones are counted in the note."""
    found = finding("messages", _outbox())
    counts = Counter(OutboxMessage.objects.filter(state__in=("stuck", "unknown")).values_list("state", flat=True))
    if not counts:
        return found
    return replace(found, note=f"{counts['stuck']} could not be sent, {counts['unknown']} may or may not have been")


def _outbox() -> Iterator[str | None]:
    rows = OutboxMessage.objects.values_list("pk", "name", "state", "lease_until_at")
    for pk, name, state, lease in rows.iterator():
        is_under_way = state == OutboxMessage.State.SENDING
        yield f"message {pk} ({name}) is {state}, its lease says otherwise" if is_under_way != bool(lease) else None

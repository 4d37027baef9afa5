"""Copies, lines and the waiting list, recounted."""

from collections import Counter, defaultdict
from collections.abc import Iterator

from campaign.models import Copy, Edition, Pledge, PledgeLine, Waiter
from campaign.references import make_reference
from campaign.services.checks.findings import Finding, finding

State = Pledge.State


def check_copies() -> Finding:
    """Every edition has the copies 1 to N, each once, and its proofs in a count of their own, not for sale."""
    return finding("copies of each edition", _copies())


def _copies() -> Iterator[str | None]:
    for edition in Edition.objects.all():
        rows = list(edition.copies.order_by("number").values_list("number", "state"))
        numbers = [number for number, state in rows if state != Copy.State.PROOF]
        proofs = [number for number, state in rows if state == Copy.State.PROOF]
        if numbers != list(range(1, edition.size + 1)):
            yield f"edition {edition.code} has {len(numbers)} copies, not 1 to {edition.size}"
        elif proofs != list(range(1, edition.proofs + 1)):
            yield f"edition {edition.code} has {len(proofs)} proofs, not 1 to {edition.proofs}"
        else:
            yield None


def check_holds() -> Finding:
    """Waiting orders hold the copies of each of their lines, paid ones have them, ended ones have none."""
    return finding("copies of each order", _holds())


def _holds() -> Iterator[str | None]:
    expected = {State.HELD: Copy.State.HELD, State.PAID: Copy.State.SPOKEN_FOR}
    found: defaultdict[int | None, Counter[tuple[int | None, int, str]]] = defaultdict(Counter)
    wanted: defaultdict[int, Counter[tuple[int | None, int, str]]] = defaultdict(Counter)
    rows = Copy.objects.exclude(pledge=None).values_list("pledge", "line", "edition", "state")
    for pledge_id, line_id, edition_id, state in rows.iterator():
        found[pledge_id][line_id, edition_id, state] += 1
    lines = PledgeLine.objects.values_list("pledge", "pledge__state", "pk", "edition", "copies")
    for pledge_id, pledge_state, line_id, edition_id, copies in lines.iterator():
        copy_state = expected.get(State(pledge_state))
        if copy_state:
            wanted[pledge_id][line_id, edition_id, copy_state.value] += copies
    for pk, code, state, copies in Pledge.objects.values_list("pk", "code", "state", "copies").iterator():
        held = sum(found[pk].values())
        wrong = found[pk] != wanted[pk]
        yield f"order {code} is {state} with {copies} copies, but {held} are not as its lines say" if wrong else None


def check_orders() -> Finding:
    """Currency, reference and sums of every order are what they must be: the sums are those of its lines."""
    return finding("orders", _orders())


def _orders() -> Iterator[str | None]:
    sums: defaultdict[int, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    lines = PledgeLine.objects.values_list("pledge", "copies", "prints_minor", "make_cost_minor", "pack_cost_minor")
    for pledge_id, *parts in lines.iterator():
        sums[pledge_id] = [have + more for have, more in zip(sums[pledge_id], parts, strict=True)]
    for pledge in Pledge.objects.select_related("show").iterator():
        own = [pledge.copies, pledge.prints_minor, pledge.make_cost_minor, pledge.pack_cost_minor]
        if pledge.currency != pledge.show.currency:
            yield f"order {pledge.code} is in {pledge.currency}, its show in {pledge.show.currency}"
        elif pledge.reference != make_reference(pledge.code):
            yield f"order {pledge.code} has the reference {pledge.reference}"
        elif own != sums[pledge.pk]:
            yield f"order {pledge.code} says {own} for copies, prints, making and packing, its lines {sums[pledge.pk]}"
        elif pledge.tax_minor > pledge.total_minor:
            yield f"order {pledge.code} holds more tax than it costs"
        else:
            yield None


def check_waiters() -> Finding:
    """
    Copies are offered to people with an offer, no more than they asked for, of the edition they wait for; who took
    one has an order of the same show; and a place has an end exactly when it has ended.
    """
    return finding("people on waiting lists", _waiters())


def _waiters() -> Iterator[str | None]:
    offered: Counter[int | None] = Counter()
    for waiter_id, edition_id, own_id in Copy.objects.filter(state=Copy.State.OFFERED).values_list(
        "waiter", "edition", "waiter__edition"
    ):
        offered[waiter_id] += 1
        if edition_id != own_id:
            yield "a copy is offered to somebody who waits for another edition"
    for waiter in Waiter.objects.select_related("pledge", "edition").iterator():
        has = offered[waiter.pk]
        if waiter.state == Waiter.State.OFFERED and not 1 <= has <= waiter.copies:
            yield f"{waiter.code} asked for {waiter.copies} copies, has an offer and is offered {has}"
        elif waiter.state != Waiter.State.OFFERED and has:
            yield f"{waiter.code} is {waiter.state} and is still offered {has} copies"
        elif (waiter.state == Waiter.State.TAKEN) != (waiter.pledge is not None):
            yield f"{waiter.code} is {waiter.state} and has {'an' if waiter.pledge else 'no'} order"
        elif waiter.pledge and waiter.pledge.show_id != waiter.edition.show_id:
            yield f"{waiter.code} waited for a print of one show and has an order of another"
        elif (waiter.state in Waiter.LIVE) != (waiter.ended_at is None):
            yield f"{waiter.code} is {waiter.state}, its end says otherwise"
        else:
            yield None


def check_ended_shows() -> Finding:
    """No edition of a show that is called off is for sale, and no order of it is alive longer than the worker takes."""
    return finding("copies of shows that are called off", _ended_shows())


def _ended_shows() -> Iterator[str | None]:
    done = {"edition__show__jobs__kind": "refunds", "edition__show__jobs__state": "done"}
    for copy in Copy.objects.filter(edition__show__state="called_off", **done).select_related("edition"):
        is_bound = copy.state in (Copy.State.HELD, Copy.State.SPOKEN_FOR, Copy.State.OFFERED)
        yield f"copy {copy.number} of {copy.edition.code} is {copy.state}, its show is called off" if is_bound else None

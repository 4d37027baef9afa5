"""A show that does not happen: orders end, copies come back, all money is owed back, and everybody gets a letter."""

from collections.abc import Iterator
from datetime import datetime

from django.db import transaction
from django.db.models import F
from django.db.models.functions import Greatest

from campaign import mail
from campaign.errors import NotInThisState, NotReady
from campaign.models import Copy, Job, Pledge, Refund, Show, Waiter
from campaign.queries.pledges import with_received
from campaign.services.copies import give_back_copies
from campaign.services.owing import lock_pledge, owe_rest, still_free
from campaign.services.rows import each

State = Show.State
KIND = "refunds"


@transaction.atomic(durable=True)
def call_off_show(*, show: Show, words: str, now: datetime) -> Job:
    """
    Call a published show off, before any print is posted; `words` say why, as backers read it.

    Writes: Show, Job; the worker then ends place after place in the waiting list (`waiting.end_places`) and order
    after order (`end_orders`).
    Raises: NotInThisState for a draft; NotReady once a print is on its way.
    Repeat: a show that is called off stays so, and its job is the answer.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    if current.state == State.DRAFT:
        raise NotInThisState(what="The campaign", state=current.get_state_display())
    if Copy.objects.filter(edition__show=current, is_posted=True).exists():
        raise NotReady("Prints are on their way to backers, so the show cannot be called off as a whole any more.")
    return end_show(current, words=words, now=now)


def end_show(show: Show, *, words: str, now: datetime) -> Job:
    """
    The step itself, for a caller whose transaction has locked the show.

    From here on no order is taken, and money that still comes is owed back as it is booked.
    """
    key = f"{KIND}:{show.code}"
    known = Job.objects.filter(key=key).first()
    if known:
        return known
    Show.objects.filter(pk=show.pk).update(
        state=State.CALLED_OFF, closed_at=show.closed_at or now, called_off_at=now, called_off_words=words[:500]
    )
    orders = Pledge.objects.filter(show=show, state__in=Pledge.LIVE).count()
    is_busy = orders > 0 or Waiter.objects.filter(edition__show=show, state__in=Waiter.LIVE).exists()
    return Job.objects.create(
        show=show, kind=KIND, key=key, title=f"Ending {orders} order{'' if orders == 1 else 's'}", total=orders,
        state=Job.State.RUNNING if is_busy else Job.State.DONE, starts_at=now, created_at=now,
        finished_at=None if is_busy else now,
    )  # fmt: skip


def end_orders(*, now: datetime, limit: int = 100) -> int:
    """
    End the orders of shows that are called off, one transaction each; what the sweep calls.

    Also those that slipped in at the same moment, and lapsed ones for which money had come.
    Writes: Pledge, Copy, Refund, Job.
    Mails: show_called_off to each.
    Repeat: nothing is left to do. Returns how many ended.
    """
    jobs = {job.show_id: job for job in Job.objects.filter(kind=KIND, show__state=State.CALLED_OFF)}
    if not jobs:
        return 0
    live = Pledge.objects.filter(show__in=jobs, state__in=Pledge.LIVE).order_by("pk")[:limit]
    ended = each(lambda pledge: _end(pledge, batch=jobs[pledge.show_id], now=now), live)
    ended += each(lambda pledge: _end(pledge, batch=jobs[pledge.show_id], now=now), _lapsed_with_money(jobs))
    _finish(jobs, now=now)
    return ended


def _lapsed_with_money(jobs: dict[int, Job]) -> Iterator[Pledge]:
    lapsed = Pledge.objects.filter(show__in=jobs, state=Pledge.State.LAPSED)
    due = with_received(lapsed.exclude(refunds__batch__in=jobs.values()))
    paid = due.filter(received_minor__gt=0)  # type: ignore[misc]  # annotated, which the plugin does not see
    return (pledge for pledge in paid if still_free(pledge) > 0)


@transaction.atomic(durable=True)
def _end(pledge: Pledge, *, batch: Job, now: datetime) -> int:
    current = lock_pledge(pledge.pk)
    was_live = current.state in Pledge.LIVE
    if was_live:
        Pledge.objects.filter(pk=current.pk, state=current.state).update(state=Pledge.State.CANCELLED, ended_at=now)
        give_back_copies(current, now=now)
        current.refresh_from_db()
        Job.objects.filter(pk=batch.pk).update(done=F("done") + 1, total=Greatest("total", F("done") + 1))
    owe_rest(pledge=current, key=f"called_off:{current.code}", reason="The show was called off", now=now, batch=batch)
    owed = list(Refund.objects.filter(pledge=current, state__in=(Refund.State.OWED, Refund.State.SENDING)))
    mail.show_called_off(pledge=current, refunds=owed, now=now)
    return 1


def _finish(jobs: dict[int, Job], *, now: datetime) -> None:
    """A job is done once no order of its show is alive, and nobody waits; jobs of long ago cost the sweep nothing."""
    if not any(job.state == Job.State.RUNNING for job in jobs.values()):
        return
    busy = Pledge.objects.filter(show__in=jobs, state__in=Pledge.LIVE).values("show")
    running = Job.objects.filter(kind=KIND, show__in=jobs, state=Job.State.RUNNING).exclude(show__in=busy)
    waiting = Waiter.objects.filter(edition__show__in=jobs, state__in=Waiter.LIVE)
    running = running.exclude(show__in=waiting.values("edition__show"))
    running.update(state=Job.State.DONE, done=F("total"), finished_at=now)

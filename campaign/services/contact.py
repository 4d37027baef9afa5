"""A backer's e-mail address, corrected by the artist; what was tied to the old one is taken along or left behind."""

from datetime import datetime

from django.db import connection
from django.db.models import Sum

from campaign import mail
from campaign.errors import NotReady, OverLimit
from campaign.models import Bounce, OutboxMessage, Pledge, PledgeLine, Suppression, Waiter
from campaign.queries.money import received_for
from campaign.services.owing import lock_pledge

State = OutboxMessage.State
NOT_OUT = (State.PENDING, State.PAUSED, State.STUCK, State.UNKNOWN)


def move_mail(*, pledge: Pledge, email: str, now: datetime) -> bool:
    """
    Send everything about an order to another address from now on; inside the caller's transaction.

    Private links in earlier mail open nothing any more: it may have gone to a stranger. Mail to the old address that
    has not gone out is dropped; whoever wanted no news still wants none.
    Writes: Pledge, Waiter, Suppression, OutboxMessage; deletes Bounce rows of an address that nobody has any more.
    Mails: email_corrected, to the new address, with the new private link.
    Raises: NotReady for an order whose person was removed; OverLimit where the new address has copies of its own.
    Repeat: the same address again changes nothing and mails nothing; False then.
    """
    assert connection.in_atomic_block, "parcels follow in the same transaction"
    current = lock_pledge(pledge.pk)
    if current.erased_at:
        raise NotReady("The person of this order was removed; nothing can be sent to them any more.")
    old, email = current.email, email.strip()
    if email == old:
        return False
    _check_limits(current, email=email)
    current.email, current.link_version = email, current.link_version + 1
    current.save(update_fields=["email", "link_version"])
    Waiter.objects.filter(pledge=current).update(email=email)
    if Suppression.objects.filter(show=current.show, email__iexact=old).exists():
        fields = {"show": current.show, "email": email.casefold()}
        Suppression.objects.get_or_create(**fields, defaults={"created_at": now})
    mine = OutboxMessage.objects.filter(show=current.show, recipient__iexact=old, key__contains=f":{current.code}")
    mine.filter(state__in=NOT_OUT).update(state=State.DROPPED)
    _leave(current, email=old)
    mail.email_corrected(pledge=current, missing_minor=current.total_minor - received_for(current), now=now)
    return True


def _check_limits(pledge: Pledge, *, email: str) -> None:
    """The new address counts as one person with the orders it has already, as if it had ordered itself."""
    if not pledge.is_live or email.casefold() == pledge.email.casefold():
        return
    for line in pledge.lines.select_related("edition"):
        others = PledgeLine.objects.filter(
            edition=line.edition, pledge__email__iexact=email, pledge__state__in=Pledge.LIVE
        )
        mine = pledge.lines.filter(edition=line.edition).aggregate(n=Sum("copies"))["n"]
        already = others.aggregate(n=Sum("copies"))["n"] or 0
        if already and already + mine > line.edition.limit_per_person:
            raise OverLimit(limit=line.edition.limit_per_person, already=already, title=line.edition.title)


def _leave(pledge: Pledge, *, email: str) -> None:
    """An address that belongs to nobody here any more is not kept: not in news that went there, not in reports."""
    is_somebodys = (
        Pledge.objects.filter(email__iexact=email).exists() or Waiter.objects.filter(email__iexact=email).exists()
    )
    if is_somebodys:
        return
    news = OutboxMessage.objects.filter(recipient__iexact=email, kind=OutboxMessage.Kind.CAMPAIGN)
    news.filter(state__in=NOT_OUT).update(state=State.DROPPED)
    news.update(recipient="", subject="", text="", html="", headers={})
    Bounce.objects.filter(email__iexact=email).delete()
    Suppression.objects.filter(show=pledge.show, email__iexact=email).delete()

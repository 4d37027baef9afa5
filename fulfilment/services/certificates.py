"""Certificates: what they say of an edition, issued for the copies of orders, and voided."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from django.db import transaction

from campaign.models import Copy, Edition, Job, Paper
from fulfilment.errors import CopiesWithoutOwner
from fulfilment.models import Certificate, CertificateBatch, EditionFacts
from fulfilment.services.copy_events import lock_copies


@transaction.atomic(durable=True)
def save_facts(*, edition: Edition, facts: dict[str, Any]) -> EditionFacts:
    """
    Keep what is known of an edition; certificates made from now on say it.

    Writes: EditionFacts.
    Repeat: the same row, overwritten.
    """
    row, _ = EditionFacts.objects.update_or_create(edition=edition, defaults=facts)
    return row


@transaction.atomic(durable=True)
def issue_certificates(*, edition: Edition, numbers: Collection[int], now: datetime) -> int:
    """
    Give copies that are spoken for a certificate each; no number: all of them.

    A certificate of the same copy for an order that has ended is voided first, so that no number has two.
    Writes: Certificate; Paper and Job where papers of a job show what is void now.
    Raises: CopiesWithoutOwner for numbers that nobody has paid for; then none is issued.
    Repeat: a copy that has one for its order keeps it. Returns how many were newly issued.
    """
    wanted = numbers or range(1, edition.size + 1)
    copies = [copy for copy in lock_copies(edition, wanted) if copy.state == Copy.State.SPOKEN_FOR]
    strangers = set(numbers) - {copy.number for copy in copies}
    if strangers:
        raise CopiesWithoutOwner(numbers=tuple(sorted(strangers)))
    counting = dict(Certificate.objects.filter(copy__in=copies, voided_at=None).values_list("copy_id", "pledge_id"))
    fresh = [copy for copy in copies if counting.get(copy.pk) != copy.pledge_id]
    _void([copy for copy in fresh if copy.pk in counting], edition=edition, now=now)
    made = [Certificate(copy=copy, pledge_id=copy.pledge_id, issued_at=now) for copy in fresh if copy.pledge_id]
    return len(Certificate.objects.bulk_create(made, batch_size=500))


@transaction.atomic(durable=True)
def void_certificates(*, edition: Edition, numbers: Collection[int], now: datetime) -> int:
    """
    The certificates of these copies hold no more; their public pages say so. A lost one is replaced by a new one.

    Writes: Certificate; Paper and Job where papers of a job show what is void now.
    Repeat: nothing is left to void. Returns how many were voided.
    """
    return _void(lock_copies(edition, numbers), edition=edition, now=now)


def _void(copies: Collection[Copy], *, edition: Edition, now: datetime) -> int:
    """Their certificates are void, and papers that a job made of them are made again without them."""
    voided = Certificate.objects.filter(copy__in=copies, voided_at=None).update(voided_at=now)
    numbers = {copy.number for copy in copies}
    batches = CertificateBatch.objects.filter(edition=edition) if voided else ()
    stale = [batch.job_id for batch in batches if not numbers.isdisjoint(batch.numbers)]
    # The jobs first, as in papers.py: what a worker is just keeping is here once it lets go of its row.
    Job.objects.filter(pk__in=stale).update(
        state=Job.State.WAITING, lease_until_at=None, attempts=0, error="", finished_at=None, done=0
    )
    Paper.objects.filter(job__in=stale).delete()
    return voided

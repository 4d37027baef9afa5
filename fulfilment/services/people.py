"""One person's data where parcels and papers hold it too; around campaign/services/people.py."""

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Exists, OuterRef

from campaign.errors import NotReady
from campaign.models import Copy, Job, Paper, Pledge
from campaign.services import people
from campaign.services.people import Erased
from fulfilment.models import Certificate, Parcel, ParcelEvent


def read_person(email: str) -> dict[str, Any]:
    """Everything kept about the person behind `email`, parcels and certificates too, as plain values for JSON."""
    certificates = Certificate.objects.filter(pledge__email__iexact=email.strip()).select_related("copy__edition")
    parcels = Parcel.objects.filter(email__iexact=email.strip()).order_by("pk")
    return people.read_person(email) | {
        "parcels": [
            {
                "show": parcel.show.title,
                "number": parcel.number,
                "state": parcel.state,
                "name": parcel.name,
                "address": parcel.address,
                "mass_g": parcel.mass_g,
                "packed_in": str(parcel.mailer or ""),
                "size_mm": [parcel.outer_length_mm, parcel.outer_width_mm, parcel.outer_depth_mm],
                "postage_minor": parcel.postage_minor,
                "value_minor": parcel.value_minor,
                "insured_minor": parcel.insured_minor,
                "customs_note": parcel.customs_note,
                "tracking_number": parcel.tracking_number,
                "posted_at": parcel.posted_at.isoformat() if parcel.posted_at else None,
                "history": [
                    {
                        "what": event.kind,
                        "at": event.happened_at.isoformat(),
                        "tracking_number": event.tracking_number,
                        "note": event.note,
                    }
                    for event in parcel.events.all()
                ],
            }
            for parcel in parcels.select_related("show", "mailer").prefetch_related("events")
        ],
        "certificates": [
            {
                "print": row.copy.edition.title,
                "copy": row.copy.number,
                "code": row.code,
                "issued_at": row.issued_at.isoformat(),
                "voided_at": row.voided_at.isoformat() if row.voided_at else None,
            }
            for row in certificates.order_by("pk")
        ],
    }


def erase_person(*, email: str, reason: str, now: datetime) -> Erased:
    """
    Remove a person from orders, mails, lists and parcels; slips and labels go with the last parcel of their job.

    Writes: as `campaign.services.people.erase_person`; Parcel; deletes Paper.
    Raises: NotReady while an order or a parcel could not be carried out any more.
    Repeat: nothing is left to remove; zeros.
    """
    waiting = Parcel.objects.filter(email__iexact=email.strip()).exclude(state=Parcel.State.POSTED)
    if waiting.filter(parcel_copies__copy__state=Copy.State.SPOKEN_FOR).exists():
        raise NotReady("A parcel for this person is not posted yet. Post it first, or cancel the order.")
    erased = people.erase_person(email=email, reason=reason, now=now)
    forget_parcels()
    return erased


@transaction.atomic(durable=True)
def forget_parcels() -> int:
    """
    Take names and addresses off parcels whose orders have lost their person, and drop papers that show them.

    Papers of a job are dropped once every parcel of it is without a person; until then other parcels may need them.
    Their history keeps what happened and when, and loses tracking numbers and notes.
    Writes: Parcel, ParcelEvent; deletes Paper.
    Repeat: nothing is left to do. Returns how many parcels lost their person.
    """
    named = Parcel.objects.exclude(email="")
    needed = Pledge.objects.filter(erased_at=None)
    # A parcel stays named while an order in it, or another one of the same person, still has its person.
    holding = named.filter(parcel_copies__copy__pledge__in=needed).values("pk")
    same = needed.filter(show=OuterRef("show"), email__iexact=OuterRef("email"))
    gone = list(named.exclude(pk__in=holding).exclude(Exists(same)).values_list("pk", flat=True))
    if not gone:
        return 0
    Parcel.objects.filter(pk__in=gone).update(name="", email="", address={}, tracking_number="")
    ParcelEvent.objects.filter(parcel__in=gone).update(tracking_number="", note="")
    jobs = Job.objects.filter(parcels__in=gone).exclude(parcels__in=Parcel.objects.exclude(email=""))
    Paper.objects.filter(job__in=jobs.distinct()).delete()
    return len(gone)


def forget_old(*, now: datetime) -> int:
    """
    What the sweep does about shows that have been over for long. Returns how many orders lost their person.

    Repeat: nothing is left to do.
    """
    erased = people.erase_finished_shows(now=now)
    forget_parcels()
    return erased


def erase_again(codes: list[str], *, now: datetime) -> int:
    """
    After a backup was put back: the people who were removed since are removed again, from parcels too.

    Repeat: nothing is left to do. Returns how many orders lost their person.
    """
    erased = people.erase_again(codes, now=now)
    forget_parcels()
    return erased

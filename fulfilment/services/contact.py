"""A backer's e-mail address where parcels hold it too; around campaign/services/contact.py."""

from datetime import datetime

from django.db import transaction

from campaign.models import Pledge
from campaign.services.contact import move_mail
from fulfilment.models import Parcel


@transaction.atomic(durable=True)
def correct_email(*, pledge: Pledge, email: str, now: datetime) -> bool:
    """
    Send everything about an order, and the notices of its parcels, to another address.

    Writes: as `campaign.services.contact.move_mail`; Parcel.
    Mails: email_corrected.
    Raises: NotReady, OverLimit as there.
    Repeat: the same address again changes nothing and mails nothing; False then.
    """
    if not move_mail(pledge=pledge, email=email, now=now):
        return False
    parcels = Parcel.objects.filter(parcel_copies__copy__pledge=pledge).exclude(email="")
    Parcel.objects.filter(pk__in=parcels.values("pk")).update(email=email.strip())
    return True

"""
What a journey cannot wait for: `python -m tests.browser.scene eve|hurry|money|printed|parcels|packed`, on the
demonstration show.

A program of its own, because a journey's database belongs to another process; it goes through the real services.
"""

import json
import os
import sys
import time
import uuid
from datetime import datetime
from typing import Any

import django

PARCELS = 40
LARGEST_GAP_MINOR = 9_500  # the order that a journey places brings about 110 €


def order_and_pay(show: Any, *, edition: Any, name: str, number: int, now: datetime) -> None:
    """One print for one more person, paid at once."""
    from campaign.queries.basket import LineWish
    from campaign.services.payments import record_payment
    from campaign.services.pledges import Order, place_pledge

    address = {"country_code": "DE", "street_address": "Musterweg 12", "postal_code": "12345", "city": "Musterstadt"}
    order = Order(
        name=f"{name} Nummer {number}", email=f"{name.lower()}{number}@example.org", way="transfer",
        lines=(LineWish(edition.code, 1),), address=address, wants_updates=False,
    )  # fmt: skip
    pledge = place_pledge(show=show, request_key=uuid.uuid4(), order=order, now=now)
    record_payment(
        pledge=pledge, key=uuid.uuid4().hex, amount_minor=pledge.total_minor, fee_minor=0, way="transfer",
        happened_on=now.astimezone(show.zone).date(), now=now,
    )  # fmt: skip


def eve() -> None:
    """Begin an update, and let more people order and pay, until the next level is one good order away."""
    from django.utils import timezone

    from campaign.models import Show
    from campaign.queries.standing import read_standing
    from campaign.services.updates import write_update

    show, now = Show.objects.get(), timezone.now()
    write_update(show=show, update=None, title="Begun at night", body="To be *continued*.", now=now)
    edition = show.editions.first()
    for number in range(1, edition.size):
        standing = read_standing(show)
        assert standing.next_level, "no level is left to reach"
        if standing.next_level.level.money_minor - standing.in_hand_minor <= LARGEST_GAP_MINOR:
            return
        order_and_pay(show, edition=edition, name="Nachbarin", number=number, now=now)


def hurry() -> None:
    """Let the minute of grace before an update goes out pass at once."""
    from django.utils import timezone

    from campaign.models import Job, OutboxMessage

    now = timezone.now()
    OutboxMessage.objects.filter(state=OutboxMessage.State.PENDING, due_at__gt=now).update(due_at=now)
    Job.objects.filter(state=Job.State.WAITING).update(starts_at=now)


def money() -> None:
    """
    Read in a bank statement, write down a sponsor, owe somebody money; let somebody wait, somebody ask, and posting
    be late: each has a page then. Prints where the waiter's link to no more news leads.
    """
    from datetime import timedelta

    from django.urls import reverse
    from django.utils import timezone

    from campaign.access import make_list_news_token
    from campaign.models import ChangeRequest, Pledge, Show, Waiter
    from campaign.services.bank_statements import take_file
    from campaign.services.funders import FunderWish, add_funder
    from campaign.services.late_notices import send_late_notice
    from campaign.services.owing import owe_refund
    from tests.campaign.statements.camt_files import camt, details, entry, party

    show, now = Show.objects.get(), timezone.now()
    lines = [
        entry("12.50", inner=details(words="For the walls", parties=party("Bo Buyer", "NL91ABNA0417164300"))),
        entry("3.20", turn="DBIT", inner=details(words="Account fee", parties=party("The bank", "", side="Cdtr"))),
    ]
    take_file(show=show, file_name="march.xml", data=camt(*lines), now=now)
    columns = b"Datum;Betrag;Wer;Wozu\n01.03.2026;5,00;Bo;Hallo\n"
    take_file(show=show, file_name="march.csv", data=columns, now=now)
    wish = FunderWish("sponsor", "asked", "Bakery Kornblum", asked_minor=20_000, next_step="send the paper")
    add_funder(show=show, code="kornblum", wish=wish)
    # Copies are free, so the site's own worker offers her one at once.
    waiter = Waiter.objects.create(
        edition=show.editions.get(code="low-water"), name="Wanda", email="wanda@example.org", asked_at=now
    )
    paid = Pledge.objects.filter(show=show, state=Pledge.State.PAID).first()
    assert paid, "somebody has paid"
    owe_refund(pledge=paid, amount_minor=100, key="scene", reason="a scratched corner", now=now)
    ChangeRequest.objects.create(pledge=paid, text="Could it go to my sister instead?", asked_at=now)
    new_on = show.posting_by_on + timedelta(days=30)
    send_late_notice(show=show, request_key=uuid.uuid4(), new_on=new_on, reason="The paper came late.", now=now)
    print(reverse("campaign:unsubscribe_waiter", args=[make_list_news_token(waiter)]))


def printed() -> None:
    """Close the campaign, print every copy, end printing; the site's own worker makes the papers then."""
    from django.utils import timezone

    from campaign.models import Copy, Show
    from campaign.services.campaigns import close_campaign
    from fulfilment.services.certificates import issue_certificates
    from fulfilment.services.production import end_printing, tick_printed

    show = Show.objects.get()
    close_campaign(show=show, now=timezone.now())
    for edition in show.editions.all():
        numbers = edition.copies.filter(state=Copy.State.SPOKEN_FOR).values_list("number", flat=True)
        if numbers:
            tick_printed(edition=edition, numbers=list(numbers), now=timezone.now())
            issue_certificates(edition=edition, numbers=(), now=timezone.now())
    job = end_printing(show=show, now=timezone.now())
    while not job.is_over:
        time.sleep(0.2)
        job.refresh_from_db()
    assert job.state == job.State.DONE, job.error


def parcels() -> None:
    """Forty parcels to pack, and two helpers. Prints code, number and copies of each."""
    from django.contrib.auth import get_user_model
    from django.contrib.auth.models import Group
    from django.utils import timezone

    from campaign.access import HELPERS
    from campaign.models import Copy, Edition, Show

    show, now = Show.objects.get(), timezone.now()
    # Room for all of them: an edition that was announced is not made larger by any service, and rightly.
    edition = show.editions.order_by("-size")[0]
    for number in range(PARCELS):
        if edition.copies.filter(state=Copy.State.FREE).count() < 2:
            edition = Edition.objects.filter(show=show).exclude(pk=edition.pk).order_by("-size")[0]
        order_and_pay(show, edition=edition, name="Helga", number=number, now=now)
    printed()
    for name in ("kim", "lee"):
        helper = get_user_model().objects.create_user(name, password="a-table-and-forty-boxes")
        helper.groups.add(Group.objects.get_or_create(name=HELPERS)[0])
    packed()


def packed() -> None:
    """Print every parcel: code, number, state, who packed it, its copies, how often its history says so."""
    from fulfilment.models import Parcel

    rows = Parcel.objects.prefetch_related("parcel_copies__copy__edition", "events")
    print(json.dumps([
        {
            "code": parcel.code, "number": parcel.number, "state": parcel.state, "by": parcel.packed_by,
            "copies": [f"{row.copy.edition.code} {row.copy.number}" for row in parcel.parcel_copies.all()],
            "packed": sum(event.kind == "packed" for event in parcel.events.all()),
        }
        for parcel in rows
    ]))  # fmt: skip


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    {"eve": eve, "hurry": hurry, "money": money, "printed": printed, "parcels": parcels, "packed": packed}[
        sys.argv[1]
    ]()

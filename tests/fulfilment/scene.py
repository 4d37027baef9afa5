"""Scenes of printing and posting: orders paid, copies printed, parcels numbered, all through the real services."""

import itertools
from datetime import timedelta

from campaign.models import Copy
from campaign.services.campaigns import close_campaign
from fulfilment.services.papers import make_papers
from fulfilment.services.production import end_printing, tick_printed
from tests.builders import NOW, pay, place

LATER = NOW + timedelta(days=30)


def order(show, **changes):
    """A paid order."""
    pledge = place(show, **changes)
    pay(pledge)
    pledge.refresh_from_db()
    return pledge


def close(show):
    """The campaign closed at its usual time."""
    close_campaign(show=show, now=LATER)
    show.refresh_from_db()
    return show


def edition_of(show):
    return show.editions.get()


def numbers_of(show):
    """Numbers of the copies that are spoken for."""
    spoken_for = Copy.objects.filter(edition__show=show, state=Copy.State.SPOKEN_FOR)
    return list(spoken_for.order_by("number").values_list("number", flat=True))


def print_all(show):
    """Every copy that is spoken for has come out well."""
    return tick_printed(edition=edition_of(show), numbers=numbers_of(show), now=LATER)


def end(show, *, now=LATER):
    """Printing ended; returns the job, not done yet."""
    job = end_printing(show=show, now=now)
    show.refresh_from_db()
    return job


def work(job, *, now=LATER):
    """One run of a worker on `job`, with a clock that moves a second at a time."""
    ticks = itertools.count()
    return make_papers(job_pk=job.pk, clock=lambda: now + timedelta(seconds=next(ticks)))


def printed_show(show, *, orders=3):
    """A closed show with `orders` one-copy orders, all printed."""
    for _ in range(orders):
        order(show)
    close(show)
    print_all(show)
    return show


def show_with_parcels(show, *, orders=3):
    """The same with printing ended and the papers made."""
    printed_show(show, orders=orders)
    job = end(show)
    assert work(job) == "done"
    job.refresh_from_db()
    return job

"""Long work: its progress, its papers, calling it off, and mails nobody can be sure about."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_job, get_message, get_paper, get_parcel_paper, is_artist
from campaign.errors import Refusal
from campaign.measures.words import count_of
from campaign.outbox import settle_unknown
from campaign.queries.jobs import read_job
from campaign.services import batches, late_notices, updates
from campaign.views.papers import pdf_answer
from campaign.views.rooms import room, workroom

ROOMS = {"news": "fund", "refunds": "fund", "late": "fund", "certificates": "print"}
SECONDS_TO_NEXT_LOOK = "2"


@room("GET")
def job(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """How far it is. While it runs the page looks again by itself, unless `?still` asks it not to."""
    page = read_job(get_job(show=show, code=code), now=timezone.now())
    is_watching = not (page.job.is_over or page.is_paused) and "still" not in request.GET
    context = {"show": show, "room": ROOMS.get(page.job.kind, "send"), "page": page, "is_watching": is_watching}
    response = render(request, "campaign/studio/job.html", context)
    if is_watching:
        # A header instead of a <meta>: no script is needed, and the link with ?still turns it off (WCAG 2.2.1).
        response["Refresh"] = SECONDS_TO_NEXT_LOOK
    return response


@room("POST")
def call_off(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Stop what has not gone out yet; a notice of late posting only as a whole, before the first mail is out."""
    found, now = get_job(show=show, code=code), timezone.now()
    try:
        act = late_notices.call_off_late_notice if found.kind == late_notices.KIND else updates.call_off_batch
        messages.success(request, _stopped_words(act(job=found, now=now)))
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("campaign:job", show_code=show.code, code=code)


@room("POST")
def pause(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Hold back the mails of a batch that have not gone out, or let them go on."""
    found, goes_on = get_job(show=show, code=code), "go_on" in request.POST
    try:
        count = batches.resume_batch(job=found) if goes_on else batches.pause_batch(job=found)
        mails = count_of(count, "mail")
        messages.success(request, f"It goes on: {mails} to send." if goes_on else f"Paused: {mails} held back.")
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("campaign:job", show_code=show.code, code=code)


def _stopped_words(stopped: int) -> str:
    if stopped == 0:
        return "There was nothing left to call off."
    return "Called off: 1 mail stays here." if stopped == 1 else f"Called off: {stopped} mails stay here."


@room("POST")
def settle_message(request: HttpRequest, show: Any, uid: UUID) -> HttpResponse:
    """The artist's word on a mail that may or may not have gone out."""
    message = get_message(show=show, uid=uid)
    is_again = "again" in request.POST
    if settle_unknown(message=message, resend=is_again, now=timezone.now()):
        said = "goes out once more" if is_again else "counts as sent"
        messages.success(request, f"The mail to {message.recipient} {said}.")
    if message.batch is None:
        return redirect("campaign:mails", show_code=show.code)
    return redirect("campaign:job", show_code=show.code, code=message.batch.code)


@workroom("GET")
def paper(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """A paper as PDF, shown in the browser and kept by nobody on the way; a helper sees slips and labels only."""
    found = (get_paper if is_artist(request.user) else get_parcel_paper)(show=show, code=code)
    return pdf_answer(bytes(found.pdf), name=found.name)

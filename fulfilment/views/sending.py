"""The room Send: papers, parcels, notices."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.access import get_job
from campaign.errors import Refusal
from campaign.measures.words import count_of
from campaign.views.rooms import room, workroom
from fulfilment.forms.sending import ParcelsForm
from fulfilment.queries.parcel_packing import read_packing_state
from fulfilment.queries.parcels import SendPicture, read_send
from fulfilment.services.paper_jobs import retry_papers
from fulfilment.services.parcels import (
    call_off_notices,
    mark_posted,
    preview_notice,
    send_posted_notices,
    take_out_cancelled,
    undo_posted,
)

PER_PAGE = 50  # two fields a parcel: well below the number of fields a submit may have
SORTS = {"to_pack": "to pack", "packed": "packed", "posted": "posted"}


@workroom("GET", "POST")
def send(request: HttpRequest, show: Any) -> HttpResponse:
    """The parcels of a page; a submit marks those chosen as posted, or takes the mark back."""
    picture, packing = read_send(show), read_packing_state(show, today=timezone.now().astimezone(show.zone).date())
    page, only = _page(request, picture=picture)
    parcels = [line.parcel for line in page]
    # An empty submit is a submit: `request.POST or None` would take it for a visit.
    form = ParcelsForm(request.POST if request.method == "POST" else None, parcels=parcels)
    if form.is_bound and form.is_valid():
        try:
            messages.success(request, _act(request, show=show, chosen=form.cleaned_data["chosen"]))
            return redirect(f"{reverse('fulfilment:send', args=[show.code])}?only={only}&page={page.number}")
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
    table = [
        (line, form[f"tick_{line.parcel.code}"], form[f"number_{line.parcel.code}"], packing.faults.get(line.parcel.pk))
        for line in page
    ]
    context = {
        "show": show, "room": "send", "picture": picture, "page": page, "only": only, "sorts": SORTS, "form": form,
        "table": table, "keep": f"only={only}&" if only else "", "packing": packing,
    }  # fmt: skip
    return render(request, "fulfilment/send.html", context)


def _page(request: HttpRequest, *, picture: SendPicture) -> "tuple[Page[Any], str]":
    only = request.GET.get("only", "")
    only = only if only in SORTS else ""
    lines = [line for line in picture.lines if only in ("", line.parcel.state)]
    return Paginator(lines, PER_PAGE).get_page(request.GET.get("page")), only


def _act(request: HttpRequest, *, show: Any, chosen: dict[str, str]) -> str:
    act: dict[str, Any] = {"show": show, "by": request.user.get_username(), "now": timezone.now()}
    if "back" in request.POST:
        count = undo_posted(codes=frozenset(chosen), **act)
        return f"{_parcels(count)} back to be posted."
    count = mark_posted(tracking=chosen, **act)
    return f"{_parcels(count)} marked as posted." if count else "The tracking numbers are kept."


def _parcels(count: int) -> str:
    return f"{count} parcel{'' if count == 1 else 's'}"


@workroom("POST")
def take_out(request: HttpRequest, show: Any) -> HttpResponse:
    """Cancelled copies are out of the parcels that are not posted."""
    count = take_out_cancelled(show=show, by=request.user.get_username(), now=timezone.now())
    if count:
        messages.success(request, f"{count_of(count, 'copy', plural='copies')} back on the shelf.")
    return redirect("fulfilment:send", show_code=show.code)


@room("GET", "POST")
def notices(request: HttpRequest, show: Any) -> HttpResponse:
    """One of the mails and whom they go to; a submit tells everybody whose parcel is posted and who does not know."""
    if request.method == "GET":
        context = {"show": show, "room": "send", "mail": preview_notice(show=show, now=timezone.now())}
        return render(request, "fulfilment/send_notices.html", context | {"picture": read_send(show)})
    try:
        job = send_posted_notices(show=show, now=timezone.now())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("fulfilment:send", show_code=show.code)
    return redirect("campaign:job", show_code=show.code, code=job.code)


@room("POST")
def call_off(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Stop a batch of notices within its first minute."""
    stopped = call_off_notices(job=get_job(show=show, code=code), now=timezone.now())
    words = f"Called off: {count_of(stopped, 'mail')} stay{'s' if stopped == 1 else ''} here."
    messages.success(request, words if stopped else "There was nothing left to call off.")
    return redirect("campaign:job", show_code=show.code, code=code)


@room("POST")
def papers_again(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Let a job that has stopped go on."""
    job = get_job(show=show, code=code)
    try:
        retry_papers(job=job, now=timezone.now())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("campaign:job", show_code=show.code, code=job.code)

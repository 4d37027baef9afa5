"""Updates to the backers: written, looked at, tried out, sent to all."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_studio, get_update
from campaign.errors import Refusal
from campaign.forms.updates import UpdateForm
from campaign.mail import mails_are_files
from campaign.prose import render_markdown
from campaign.queries.news import count_readers, list_mails, list_updates
from campaign.services.updates import send_update, try_update, write_update
from campaign.views.rooms import is_saving, room

PER_PAGE = 50


@room("GET")
def updates(request: HttpRequest, show: Any) -> HttpResponse:
    """All updates, the newest first."""
    context = {"show": show, "room": "fund", "part": "updates", "updates": list_updates(show)}
    return render(request, "campaign/studio/updates.html", context)


@room("GET", "POST")
def new_update(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty sheet for an update."""
    return _update(request, show=show, update=None)


@room("GET", "POST")
def update(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One update: being written, or as it was sent."""
    return _update(request, show=show, update=get_update(show=show, code=code))


def _update(request: HttpRequest, *, show: Any, update: Any) -> HttpResponse:
    start = {"title": update.title, "body": update.body} if update else {}
    form = UpdateForm(request.POST or None, initial=start)
    if is_saving(request) and form.is_valid():
        try:
            kept = write_update(show=show, update=update, now=timezone.now(), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
        else:
            messages.success(request, "Kept. Nobody has got it yet.")
            return redirect("campaign:update_sheet", show_code=show.code, code=kept.code)
    words = request.POST.get("body", update.body if update else "")
    context = {
        "show": show, "room": "fund", "part": "updates", "update": update, "form": form,
        "title": request.POST.get("title", update.title if update else ""), "preview": render_markdown(words),
        "readers": count_readers(show), "studio": get_studio(),
    }  # fmt: skip
    return render(request, "campaign/studio/update.html", context)


@room("POST")
def trial(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Send an update to the artist alone."""
    message = try_update(update=get_update(show=show, code=code), now=timezone.now())
    messages.success(request, f"A trial is on its way to {message.recipient}.")
    return redirect("campaign:update_sheet", show_code=show.code, code=code)


@room("GET", "POST")
def send(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Says to how many people it would go; the POST sends it."""
    found = get_update(show=show, code=code)
    if request.method == "POST":
        try:
            job = send_update(update=found, now=timezone.now())
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
            return redirect("campaign:update_sheet", show_code=show.code, code=code)
        return redirect("campaign:job", show_code=show.code, code=job.code)
    context = {
        "show": show, "room": "fund", "part": "updates", "update": found, "readers": count_readers(show),
        "preview": render_markdown(found.body),
    }  # fmt: skip
    return render(request, "campaign/studio/send_update.html", context)


@room("GET")
def mails(request: HttpRequest, show: Any) -> HttpResponse:
    """Every mail of the show, with its words."""
    page = Paginator(list_mails(show), PER_PAGE).get_page(request.GET.get("page"))
    context = {"show": show, "room": "fund", "part": "mails", "page": page, "are_files": mails_are_files()}
    return render(request, "campaign/studio/mails.html", context)

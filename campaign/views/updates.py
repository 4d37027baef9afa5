"""Updates to the backers: written, looked at, tried out, sent to all."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_studio, get_update
from campaign.addresses import country_name
from campaign.errors import Refusal
from campaign.forms.updates import SendAtForm, UpdateForm
from campaign.mail import mails_are_files
from campaign.prose import render_markdown
from campaign.queries.audience import audience_of, list_destinations
from campaign.queries.news import list_mails, list_updates
from campaign.queries.returned import list_unreachable
from campaign.services.updates import (
    WORDS,
    forget_send_at,
    send_update,
    set_send_at,
    try_update,
    write_update,
)
from campaign.templatetags.campaign_tags import moment
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
    start = {name: getattr(update, name) for name in WORDS} if update else {}
    form = UpdateForm(request.POST or None, initial=start, countries=_countries(show, update=update))
    if is_saving(request) and form.is_valid():
        try:
            kept = write_update(show=show, update=update, now=timezone.now(), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
        else:
            messages.success(request, _kept_words(kept, show=show))
            return redirect("campaign:update_sheet", show_code=show.code, code=kept.code)
    typed = request.POST if request.method == "POST" else start
    context = {
        "show": show, "room": "fund", "part": "updates", "update": update, "form": form,
        "title": typed.get("title", ""), "preview": render_markdown(typed.get("body", "")),
        "audience": audience_of(update) if update else None, "studio": get_studio(),
    }  # fmt: skip
    return render(request, "campaign/studio/update.html", context)


def _countries(show: Any, *, update: Any) -> tuple[tuple[str, str], ...]:
    """Where prints go; and the country that was chosen once, though nothing goes there any more."""
    found = list_destinations(show)
    kept = update.country if update else ""
    return found if not kept or kept in dict(found) else (*found, (kept, country_name(kept)))


def _kept_words(update: Any, *, show: Any) -> str:
    if update.send_at is None:
        return "Kept. Nobody has got it yet."
    return f"Kept. It goes out as it stands now on {moment(update.send_at, show)}."


@room("POST")
def trial(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Send an update to the artist alone."""
    message = try_update(update=get_update(show=show, code=code), now=timezone.now())
    messages.success(request, f"A trial is on its way to {message.recipient}.")
    return redirect("campaign:update_sheet", show_code=show.code, code=code)


@room("GET", "POST")
def send(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Says to how many people it would go, who is left out and why; the POST sends it."""
    found = get_update(show=show, code=code)
    if request.method == "POST":
        try:
            job = send_update(update=found, now=timezone.now())
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
            return redirect("campaign:update_sheet", show_code=show.code, code=code)
        return redirect("campaign:job", show_code=show.code, code=job.code)
    return _asked(request, show=show, update=found, form=SendAtForm(show=show, initial={"send_at": found.send_at}))


def _asked(request: HttpRequest, *, show: Any, update: Any, form: SendAtForm) -> HttpResponse:
    context = {
        "show": show, "room": "fund", "part": "updates", "update": update, "audience": audience_of(update),
        "preview": render_markdown(update.body), "form": form,
    }  # fmt: skip
    return render(request, "campaign/studio/send_update.html", context)


@room("GET", "POST")
def send_at(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Sets the moment at which an update goes out by itself, or another one; a GET asks as `send` does."""
    found = get_update(show=show, code=code)
    form = SendAtForm(request.POST or None, show=show, initial={"send_at": found.send_at})
    if request.method == "POST" and form.is_valid():
        try:
            set_send_at(update=found, now=timezone.now(), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error("send_at", refusal.sentence)
        else:
            messages.success(request, f"It goes out by itself on {moment(form.cleaned_data['send_at'], show)}.")
            return redirect("campaign:update_sheet", show_code=show.code, code=code)
    return _asked(request, show=show, update=found, form=form)


@room("POST")
def not_by_itself(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Calls off the moment that was set."""
    if forget_send_at(update=get_update(show=show, code=code), now=timezone.now()):
        messages.success(request, "It does not go out by itself any more.")
    else:
        messages.info(request, "There was no moment left to call off.")
    return redirect("campaign:update_sheet", show_code=show.code, code=code)


@room("GET")
def mails(request: HttpRequest, show: Any) -> HttpResponse:
    """Every mail of the show, with its words."""
    page = Paginator(list_mails(show), PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "show": show, "room": "fund", "part": "mails", "page": page, "are_files": mails_are_files(),
        "unreachable": list_unreachable(show),
    }  # fmt: skip
    return render(request, "campaign/studio/mails.html", context)

"""Late changes by asking: the form on the backer's own page, the list in the room Fund, the artist's answer."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_change_request
from campaign.errors import Refusal
from campaign.forms.change_requests import AnswerForm, AskForm
from campaign.queries.change_requests import count_waiting, list_change_requests
from campaign.queries.pledges import read_pledge
from campaign.services.change_requests import answer_change, ask_for_change
from campaign.views.limits import too_many, within_limits
from campaign.views.mine import my_page
from campaign.views.rooms import room
from campaign.views.visits import of_backer

ASKED_PER_HOUR = 20  # from one network
PER_PAGE = 100
PART = {"room": "fund", "part": "requests"}


@of_backer("GET", "POST")
def my_request(request: HttpRequest, pledge: Any) -> HttpResponse:
    """Ask the artist; the form itself stands on the page of the order."""
    if request.method == "GET":
        return redirect("campaign:my_pledge", code=pledge.code)
    form, now = AskForm(request.POST), timezone.now()
    if form.is_valid():
        form.check_person()
    if not form.is_valid():
        return my_page(request, pledge, ask=form, now=now)
    if not within_limits(request, act="ask", email=pledge.email, per_network=ASKED_PER_HOUR, now=now):
        return too_many(request, now=now)
    return _ask(request, pledge, form, now=now)


def _ask(request: HttpRequest, pledge: Any, form: AskForm, *, now: Any) -> HttpResponse:
    key, text = form.cleaned_data["request_key"], form.cleaned_data["text"]
    try:
        ask_for_change(pledge=pledge, request_key=key, text=text, now=now)
    except Refusal as refusal:
        form.add_error(None, refusal.sentence)
        return my_page(request, pledge, ask=form, now=now)
    messages.success(request, "It is sent. The answer comes by mail and will stand here.")
    return redirect("campaign:my_pledge", code=pledge.code)


@room("GET")
def change_requests(request: HttpRequest, show: Any) -> HttpResponse:
    """All that backers asked for, what waits first."""
    page = Paginator(list_change_requests(show), PER_PAGE).get_page(request.GET.get("page"))
    context = {**PART, "show": show, "page": page, "waiting": count_waiting(show)}
    return render(request, "campaign/studio/change_requests.html", context)


@room("GET", "POST")
def change_request(request: HttpRequest, show: Any, key: Any) -> HttpResponse:
    """One of them, with the order it is about, and the answer."""
    asked = get_change_request(show=show, key=key)
    page = read_pledge(asked.pledge)
    form = AnswerForm(request.POST if request.method == "POST" else None, can_cancel=asked.pledge.is_live)
    if request.method == "POST" and form.is_valid():
        try:
            answer_change(request=asked, now=timezone.now(), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
        else:
            messages.success(request, f"Answered; a mail says so to {asked.pledge.name}.")
            return redirect("campaign:pledge", show_code=show.code, code=asked.pledge.code)
    context = {**PART, "show": show, "asked": asked, "page": page, "form": form}
    return render(request, "campaign/studio/change_request.html", context)

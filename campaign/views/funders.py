"""Sponsors and grants: the list, one of them, money that came, the paper to send."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.access import get_funder
from campaign.errors import Refusal, TemporaryFailure
from campaign.forms.funders import FunderForm, FunderMoneyForm
from campaign.queries.effect import read_outlook
from campaign.queries.funders import read_funders
from campaign.services import funders as service
from campaign.services.prospectus import make_prospectus
from campaign.views.papers import pdf_answer
from campaign.views.rooms import ask, room, tell_effect

PART = {"room": "fund", "part": "funders"}


@room("GET")
def funders(request: HttpRequest, show: Any) -> HttpResponse:
    """All of them, those whose day comes next first."""
    today = timezone.now().astimezone(show.zone).date()
    context = {**PART, "show": show, "page": read_funders(show, today=today)}
    return render(request, "campaign/studio/funders.html", context)


@room("GET", "POST")
def new_funder(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty sheet."""
    form = FunderForm(request.POST or None, show=show)
    if request.method == "POST" and form.is_valid():
        service.add_funder(show=show, code=form.cleaned_data["code"], wish=form.wish)
        messages.success(request, f"{form.cleaned_data['name']} is written down.")
        return redirect("campaign:funders", show_code=show.code)
    return render(request, "campaign/studio/funder.html", {**PART, "show": show, "form": form, "funder": None})


@room("GET", "POST")
def funder(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One of them."""
    found = get_funder(show=show, code=code)
    start = {
        name: getattr(found, name, None) for name in FunderForm.base_fields if name not in ("due_on", "remind_days")
    }
    if found.deadline:
        start |= {"due_on": found.deadline.on, "remind_days": found.deadline.remind_days}
    form = FunderForm(request.POST or None, show=show, initial=start)
    if request.method == "POST" and form.is_valid():
        service.change_funder(funder=found, wish=form.wish)
        messages.success(request, "Saved.")
        return redirect("campaign:funders", show_code=show.code)
    return render(request, "campaign/studio/funder.html", {**PART, "show": show, "form": form, "funder": found})


@room("GET", "POST")
def funder_money(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Money that it paid into the bank account."""
    found, now = get_funder(show=show, code=code), timezone.now()
    form = FunderMoneyForm(request.POST or None, show=show, today=now.astimezone(show.zone).date())
    if request.method == "POST" and form.is_valid():
        before, values = read_outlook(show), dict(form.cleaned_data)
        try:
            service.receive_from_funder(funder=found, key=str(values.pop("request_key")), now=now, **values)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
        else:
            messages.success(request, f"Booked. {tell_effect(show, before=before)}")
            return redirect("campaign:funders", show_code=show.code)
    return render(request, "campaign/studio/funder_money.html", {**PART, "show": show, "form": form, "funder": found})


@room("GET", "POST")
def delete_funder(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then takes it out."""
    found, back = get_funder(show=show, code=code), reverse("campaign:funders", args=[show.code])
    if request.method == "POST":
        if not service.remove_funder(funder=found):
            messages.error(request, "Its money stands in the cash book, so it stays. Say “finished” instead.")
        return redirect(back)
    return ask(
        request, show=show, room_name="fund", question=f"Take “{found}” out?", button="Take it out",
        words="Its day leaves the schedule as well. One that has declined can stay and say so.", back=back,
    )  # fmt: skip


@room("GET")
def prospectus(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One page to send: what the money would hang."""
    found = get_funder(show=show, code=code)
    try:
        made = make_prospectus(funder=found)
    except TemporaryFailure as failure:
        messages.error(request, str(failure))
        return redirect("campaign:funders", show_code=show.code)
    return pdf_answer(made.pdf, name=f"{show.code}-prospectus.pdf")

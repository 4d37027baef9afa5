"""Addresses before their labels are made: asking backers, and the list of those to look at twice."""

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.services.confirming import GRACE, ask_for_addresses, call_off_asking
from campaign.views.rooms import room
from fulfilment.forms.address_list import AskForAddressesForm
from fulfilment.queries.address_list import read_address_list

A_WEEK = timedelta(days=7)


@room("GET", "POST")
def addresses(request: HttpRequest, show: Any) -> HttpResponse:
    """The list; a POST has backers asked until a day, or moves the day."""
    now = timezone.now()
    kind = now.astimezone(show.zone).date() + A_WEEK
    form = AskForAddressesForm(request.POST or None, initial={"until_on": show.addresses_until_on or kind})
    if form.is_bound and form.is_valid():
        try:
            ask_for_addresses(show=show, now=now, **form.cleaned_data)
        except Refusal as refusal:
            form.add_error("until_on", refusal.sentence)
        else:
            messages.success(
                request, "Taken down. The first mails go out in a minute; until then it can be called off."
            )
            return redirect("fulfilment:addresses", show_code=show.code)
    starts_at = show.addresses_asked_at and show.addresses_asked_at + GRACE
    context = {
        "show": show, "room": "send", "form": form, "page": read_address_list(show),
        "seconds_to_start": max(0, round((starts_at - now).total_seconds())) if starts_at else 0,
        "is_over": bool(show.addresses_until_on and show.addresses_until_on < now.astimezone(show.zone).date()),
    }  # fmt: skip
    return render(request, "fulfilment/addresses.html", context)


@room("POST")
def call_off(request: HttpRequest, show: Any) -> HttpResponse:
    """Nobody else is asked."""
    asked = call_off_asking(show=show)
    told = f"; {asked} had been asked and can still answer" if asked else ""
    messages.success(request, f"Nobody else is asked{told}.")
    return redirect("fulfilment:addresses", show_code=show.code)

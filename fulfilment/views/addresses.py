"""Correcting an address from the page of a pledge, as long as nothing of it is posted."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_pledge
from campaign.errors import Refusal
from campaign.forms.addresses import CountryForm, pick_country
from campaign.queries.change_requests import list_waiting_of
from campaign.queries.order_lines import find_friend
from campaign.queries.order_terms import list_countries
from campaign.views.rooms import room
from fulfilment.forms.addresses import CorrectionForm
from fulfilment.services.addresses import BACKER, Corrected, correct_address


@room("GET", "POST")
def correct(request: HttpRequest, show: Any, code: str, number: int) -> HttpResponse:
    """The address of the backer (0), or of the friend with that number; `?country=` chooses whose rules it follows."""
    pledge = get_pledge(show=show, code=code)
    friend = find_friend(list(pledge.lines.all()), number=number)
    if number != BACKER and friend is None:
        return redirect("campaign:pledge", show_code=show.code, code=code)
    form, country_form = _forms(request, pledge=pledge, whose=friend or pledge)
    if form.is_bound and form.is_valid() and _keep(request, form, pledge=pledge, number=number):
        return redirect("campaign:pledge", show_code=show.code, code=code)
    context = {
        "show": show, "room": "fund", "part": "pledges", "pledge": pledge, "friend": friend, "form": form,
        "country_form": country_form, "answers": request.GET.get("answers", ""),
    }  # fmt: skip
    return render(request, "fulfilment/correct_address.html", context)


def _forms(request: HttpRequest, *, pledge: Any, whose: Any) -> tuple[CorrectionForm, CountryForm]:
    now_in, countries = whose.address.get("country_code", ""), list_countries(pledge.show.postage_rates.all())
    country = pick_country(request.GET.get("country", ""), kept=now_in, countries=countries)
    kept = {**(whose.address if country == now_in else {}), "name": whose.name}
    kept["answers"] = request.GET.get("answers", "")
    typed = request.POST if request.method == "POST" else None
    form = CorrectionForm(typed, initial=kept, country_code=country, requests=list_waiting_of(pledge))
    return form, CountryForm(initial={"country": country}, countries=countries)


def _keep(request: HttpRequest, form: CorrectionForm, *, pledge: Any, number: int) -> bool:
    try:
        done = correct_address(pledge=pledge, number=number, to=form.to, answering=form.answering, now=timezone.now())
    except Refusal as refusal:
        form.add_error(None, refusal.sentence)
        return False
    messages.success(request, _said(done))
    return True


def _said(done: Corrected) -> str:
    if not done.has_moved:
        return "It goes there already; nothing was changed."
    said = "The address is corrected; a mail says so to the backer."
    if done.unpacked:
        copies = "1 copy left" if done.unpacked == 1 else f"{done.unpacked} copies left"
        said += f" {copies} a parcel shared with another order: make the papers of late copies in the room Print."
    elif done.parcels:
        numbers = " and ".join(str(number) for number in done.parcels)
        said += f" The papers of parcel {numbers} are being made again: put away the old label."
    return said

"""A backer's own order: the private link, the order's page, a new address, cancelling, no more news."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from campaign import access
from campaign.errors import Refusal
from campaign.forms.addresses import AddressForm, CountryForm, pick_country
from campaign.forms.change_requests import AskForm
from campaign.queries.my_order import read_my_order
from campaign.queries.order_lines import Friend, find_friend
from campaign.queries.order_terms import list_countries
from campaign.queries.postage import is_way_offered
from campaign.services import confirming, destinations, pledges
from campaign.views.paying import payment_codes
from campaign.views.visits import of_backer, open_visit


@never_cache
@require_GET
def pledge_link(request: HttpRequest, token: str) -> HttpResponse:
    """Open the private link of a mail: half an hour on a clean address. Changes nothing: mail scanners come too."""
    return open_visit(access.get_pledge_by_token(token))


@of_backer("GET")
def my_pledge(request: HttpRequest, pledge: Any) -> HttpResponse:
    """One order, with all that its backer needs to pay for it."""
    return my_page(request, pledge, ask=AskForm(), now=timezone.now())


def my_page(request: HttpRequest, pledge: Any, *, ask: AskForm, now: datetime) -> HttpResponse:
    """The page of one order, with the form that asks the artist as it stands."""
    context = {**_context(pledge, now=now), "ask": ask}
    return render(request, "campaign/public/my_pledge.html", {**context, **payment_codes(context["mine"])})


def _context(pledge: Any, *, now: datetime) -> dict[str, Any]:
    mine = read_my_order(pledge, now=now)
    can_pay_by_card = is_way_offered(studio=mine.studio, show=pledge.show, way="card")
    return {
        "mine": mine, "pledge": pledge, "show": pledge.show, "studio": mine.studio, "can_pay_by_card": can_pay_by_card,
    }  # fmt: skip


@of_backer("GET", "POST")
def my_address(request: HttpRequest, pledge: Any) -> HttpResponse:
    """Where an order is to be posted instead; `?country=` chooses whose address rules the form follows."""
    return _address_page(request, pledge, friend=None)


@of_backer("GET", "POST")
def my_friend_address(request: HttpRequest, pledge: Any, number: int) -> HttpResponse:
    """The same for what goes to a friend; `number` counts the friends of the order."""
    friend = find_friend(list(pledge.lines.all()), number=number)
    if friend is None:
        return redirect("campaign:my_pledge", code=pledge.code)
    return _address_page(request, pledge, friend=friend)


@of_backer("GET", "POST")
def my_address_right(request: HttpRequest, pledge: Any) -> HttpResponse:
    """A POST says that the order goes to the right place; a GET changes nothing and leads to the order."""
    if request.method == "POST":
        try:
            confirming.confirm_address(pledge=pledge, seen=request.POST.get("seen", ""), now=timezone.now())
            messages.success(request, "Taken down, thank you: it goes there.")
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
    return redirect("campaign:my_pledge", code=pledge.code)


def _address_page(request: HttpRequest, pledge: Any, *, friend: Friend | None) -> HttpResponse:
    now, countries = timezone.now(), list_countries(pledge.show.postage_rates.all())
    whose = friend or pledge
    kept_country = whose.address.get("country_code", "")
    country = pick_country(request.GET.get("country", ""), kept=kept_country, countries=countries)
    kept = {**whose.address, "name": whose.name} if country == whose.address.get("country_code") else {}
    form = AddressForm(request.POST or None, initial=kept or {"name": whose.name}, country_code=country)
    if form.is_bound and form.is_valid() and _keep_address(form, pledge=pledge, friend=friend, now=now):
        messages.success(request, "The new address is recorded; a mail confirms it.")
        return redirect("campaign:my_pledge", code=pledge.code)
    country_form = CountryForm(initial={"country": country}, countries=countries)
    own = {"form": form, "country": country, "country_form": country_form, "friend": friend}
    return render(request, "campaign/public/my_address.html", {**_context(pledge, now=now), **own})


def _keep_address(form: AddressForm, *, pledge: Any, friend: Friend | None, now: datetime) -> bool:
    name, address = form.cleaned_data["name"], form.cleaned_data["address"]
    try:
        if friend is None:
            destinations.change_address(pledge=pledge, name=name, address=address, now=now)
        else:
            destinations.change_friend_address(pledge=pledge, number=friend.number, name=name, address=address, now=now)
    except Refusal as refusal:
        form.add_error(None, refusal.sentence)
        return False
    return True


@of_backer("GET", "POST")
def my_cancel(request: HttpRequest, pledge: Any) -> HttpResponse:
    """A page that asks, and a POST that cancels."""
    if request.method == "POST":
        try:
            pledges.cancel_pledge(pledge=pledge, by_backer=True, now=timezone.now())
            messages.success(request, "The order is cancelled; a mail confirms it.")
        except Refusal as refused:
            messages.error(request, refused.sentence)
        return redirect("campaign:my_pledge", code=pledge.code)
    return render(request, "campaign/public/my_cancel.html", _context(pledge, now=timezone.now()))

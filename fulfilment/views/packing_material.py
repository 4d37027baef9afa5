"""Packing material: mailers with their counting list, how prints travel, what the post takes, what customs asks."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.access import get_edition
from campaign.errors import Refusal
from campaign.measures.words import join_words
from campaign.views.rooms import ask, room, workroom
from fulfilment.forms.packing_material import (
    CustomsForm,
    MailerForm,
    ServiceForm,
    TravelForm,
    customs_start,
    mailer_start,
    service_start,
    travel_start,
)
from fulfilment.queries.packing_material import find_customs, find_mailer, find_travel, read_material, read_zones
from fulfilment.services.packing_material import (
    reckon_parcels,
    remove_mailer,
    save_customs,
    save_mailer,
    save_travel,
    set_services,
)


def _today(show: Any) -> Any:
    return timezone.now().astimezone(show.zone).date()


@workroom("GET")
def packing_material(request: HttpRequest, show: Any) -> HttpResponse:
    """What is needed, there and to be bought, and what is not said yet; sums for the artist alone."""
    context = {"show": show, "room": "send", "material": read_material(show, today=_today(show))}
    return render(request, "fulfilment/packing_material.html", context)


@room("POST")
def reckon(request: HttpRequest, show: Any) -> HttpResponse:
    """Parcels that are to be packed by the tables of today: postage may have been entered since."""
    reckon_parcels(show=show, now=timezone.now())
    messages.success(request, "Parcels that are to be packed are reckoned by the tables of today.")
    return redirect("fulfilment:packing_material", show_code=show.code)


@room("GET", "POST")
def new_mailer(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty line of the list."""
    return _mailer(request, show=show, found=None)


@room("GET", "POST")
def mailer(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One line of the list."""
    return _mailer(request, show=show, found=_get_mailer(show, code=code))


def _get_mailer(show: Any, *, code: str) -> Any:
    found = find_mailer(show_pk=show.pk, code=code)
    if found is None:
        raise Http404
    return found


def _mailer(request: HttpRequest, *, show: Any, found: Any) -> HttpResponse:
    form = MailerForm(request.POST if request.method == "POST" else None, show=show, initial=mailer_start(found))
    if form.is_bound and form.is_valid():
        try:
            save_mailer(show=show, mailer=found, wish=form.wish, now=timezone.now())
            messages.success(request, "Kept. Parcels that are to be packed are reckoned with it.")
            return redirect("fulfilment:packing_material", show_code=show.code)
        except Refusal as refusal:
            form.add_error("name", refusal.sentence)
    context = {"show": show, "room": "send", "form": form, "mailer": found}
    return render(request, "fulfilment/mailer.html", context)


@room("GET", "POST")
def delete_mailer(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then takes the line out."""
    found = _get_mailer(show, code=code)
    back = reverse("fulfilment:packing_material", args=[show.code])
    if request.method == "POST":
        try:
            remove_mailer(mailer=found)
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
        return redirect(back)
    return ask(
        request, show=show, room_name="send", question=f"Take “{found}” out of the list?", button="Take it out",
        words="A mailer that a parcel travels in cannot be taken out.", back=back,
    )  # fmt: skip


@room("GET", "POST")
def travel(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """How prints of an edition travel, and what customs is told of them."""
    edition = get_edition(show=show, code=code)
    start = travel_start(find_travel(edition), show=show)
    form = TravelForm(request.POST if request.method == "POST" else None, show=show, initial=start)
    if form.is_bound and form.is_valid():
        save_travel(edition=edition, wish=form.wish, now=timezone.now())
        messages.success(request, "Kept. Parcels that are to be packed are reckoned with it.")
        return redirect("fulfilment:packing_material", show_code=show.code)
    context = {"show": show, "room": "send", "form": form, "edition": edition}
    return render(request, "fulfilment/travel.html", context)


@room("GET", "POST")
def post_services(request: HttpRequest, show: Any) -> HttpResponse:
    """What the post takes, zone by zone of the table of postage."""
    lines, typed = read_zones(show, today=_today(show)), request.POST if request.method == "POST" else None
    forms = [
        ServiceForm(typed, show=show, line=line, prefix=f"zone{number}", initial=service_start(line))
        for number, line in enumerate(lines)
    ]
    are_valid = [form.is_valid() for form in forms]  # each of them, so that every fault is shown
    if typed is not None and all(are_valid):
        wishes = [form.wish for form in forms]
        set_services(show=show, services=[wish for wish in wishes if wish], now=timezone.now())
        dropped = [line.zone for line, wish in zip(lines, wishes, strict=True) if line.service and not wish]
        gone = f" What the post takes to {join_words(dropped)} is not said any more." if dropped else ""
        messages.success(request, f"Kept.{gone} Parcels that are to be packed are reckoned with it.")
        return redirect("fulfilment:packing_material", show_code=show.code)
    context = {"show": show, "room": "send", "forms": forms}
    return render(request, "fulfilment/post_services.html", context)


@room("GET", "POST")
def customs(request: HttpRequest, show: Any) -> HttpResponse:
    """The price of an SDR, and the sender's numbers."""
    start = customs_start(find_customs(show))
    form = CustomsForm(request.POST if request.method == "POST" else None, show=show, initial=start)
    if form.is_bound and form.is_valid():
        save_customs(show=show, wish=form.wish, now=timezone.now())
        messages.success(request, "Kept. Customs notes of parcels that are to be packed are made again.")
        return redirect("fulfilment:packing_material", show_code=show.code)
    return render(request, "fulfilment/customs.html", {"show": show, "room": "send", "form": form})

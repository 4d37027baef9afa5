"""The packing station: scan a slip, confirm each copy, and the parcel is packed. Works without a script."""

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.measures.weights import format_weight
from campaign.views.rooms import workroom
from fulfilment.forms.packing_station import OpenForm, PackForm, ScanForm
from fulfilment.queries.packing_station import Station, StationParcel, Step, read_station, take_scan
from fulfilment.services.packing_station import open_parcel, pack_parcel


@workroom("GET", "POST")
def packing_station(request: HttpRequest, show: Any) -> HttpResponse:
    """The field; a submit is one scan, and what it led to is shown."""
    now = timezone.now()
    station = read_station(show, now=now)
    form = ScanForm(request.POST if request.method == "POST" else None)
    step = Step()
    if form.is_bound:
        step = _step(form, station=station)
        if step.is_complete and step.parcel:
            step = _pack(request, show=show, step=step, key=form.cleaned_data["request_key"])
            if not step.is_wrong:
                return redirect("fulfilment:packing_station", show_code=show.code)
    context = {"show": show, "room": "send", "station": station, "step": step, "form": _next_form(form, step=step)}
    return render(request, "fulfilment/packing_station.html", context)


def _step(form: ScanForm, *, station: Station) -> Step:
    if form.is_valid():
        return take_scan(station, **form.read())
    parts = form.read()
    parcel = next((one for one in station.parcels if one.code == parts["code"]), None)
    return Step(parcel, parts["confirmed"], "Scan or type a code of at most 60 characters.")


def _next_form(form: ScanForm, *, step: Step) -> ScanForm:
    """The field is empty again; what is in hand goes along hidden, under the key that its packing will have."""
    in_hand = step.parcel is not None and not step.parcel.said
    key = form.cleaned_data.get("request_key") if form.is_bound and step.confirmed else None
    parts = {"parcel": step.parcel.code, "confirmed": step.confirmed} if step.parcel and in_hand else {}
    return ScanForm(initial=parts | ({"request_key": key} if key and in_hand else {}))


def _pack(request: HttpRequest, *, show: Any, step: Step, key: Any) -> Step:
    assert step.parcel, "a step that is complete has a parcel"
    try:
        parcel = pack_parcel(
            show=show, code=step.parcel.code, confirmed=step.confirmed, request_key=key,
            by=request.user.get_username(), now=timezone.now(),
        )  # fmt: skip
    except Refusal as refusal:
        return Step(said=refusal.sentence, is_wrong=True)
    messages.success(request, f"Parcel {parcel.number} is packed.")
    return Step()


@workroom("POST")
def pack(request: HttpRequest, show: Any) -> HttpResponse:
    """The same act for the script: whether the parcel counts as packed, or a sentence on why it does not."""
    form = PackForm(request.POST)
    if not form.is_valid():
        return JsonResponse({"is_packed": False, "said": "That could not be read. Scan the slip again."})
    data, now = form.cleaned_data, timezone.now()
    try:
        parcel = pack_parcel(
            show=show, code=data["parcel"], confirmed=data["confirmed"], request_key=data["request_key"],
            by=request.user.get_username(), now=now - timedelta(seconds=data["seconds_ago"] or 0),
        )  # fmt: skip
    except Refusal as refusal:
        return JsonResponse({"is_packed": False, "said": refusal.sentence})
    return JsonResponse({"is_packed": True, "said": f"Parcel {parcel.number} is packed."})


@workroom("GET")
def contents(request: HttpRequest, show: Any) -> HttpResponse:
    """What the script holds, so that a wrong copy stops without a connection; names and countries, no addresses."""
    station = read_station(show, now=timezone.now())
    return JsonResponse({
        "packed": station.packed, "left": station.left, "pace": station.pace, "minutes_left": station.minutes_left,
        "said": station.said, "parcels": [_contents_of(parcel) for parcel in station.parcels],
    })  # fmt: skip


def _contents_of(parcel: StationParcel) -> dict[str, Any]:
    is_to_pack = not parcel.said
    mass = format_weight(parcel.mass_g) + (f", in {parcel.mailer}" if parcel.mailer else "")
    return {
        "code": parcel.code, "number": parcel.number, "said": parcel.said, "mass": mass, "can_open": parcel.can_open,
        "name": parcel.name if is_to_pack else "", "country": parcel.country if is_to_pack else "",
        "take_out": parcel.take_out, "needs_new_note": parcel.needs_new_note,
        "copies": [
            {"key": copy.key, "label": copy.label, "title": copy.title, "scans": copy.scans} for copy in parcel.copies
        ],
    }  # fmt: skip


@workroom("POST")
def open_again(request: HttpRequest, show: Any) -> HttpResponse:
    """A packed parcel is to be packed anew."""
    form = OpenForm(request.POST)
    if form.is_valid():
        try:
            open_parcel(show=show, code=form.cleaned_data["parcel"], by=request.user.get_username(), now=timezone.now())
            messages.success(request, "It is to be packed again. Scan its slip.")
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
    return redirect("fulfilment:packing_station", show_code=show.code)

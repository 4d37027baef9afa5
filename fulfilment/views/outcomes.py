"""The page of one parcel: its history, what became of it, and sending it again."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.views.rooms import room
from fulfilment.forms.outcomes import OutcomeForm, SendAgainForm
from fulfilment.queries.outcomes import find_parcel_page
from fulfilment.queries.parcel_packing import find_parcel_packing
from fulfilment.services.outcomes import record_outcome
from fulfilment.services.outcomes import send_again as send_parcel_again


@room("GET", "POST")
def parcel(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Facts and history; a submit writes down what became of it."""
    page = find_parcel_page(show_pk=show.pk, code=code)
    if page is None:
        raise Http404
    form = OutcomeForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            act: dict[str, Any] = {"by": request.user.get_username(), "now": timezone.now()}
            record_outcome(show=show, code=code, **form.cleaned_data, **act)
            messages.success(request, "Written down.")
            return redirect("fulfilment:parcel", show_code=show.code, code=code)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
    packing = find_parcel_packing(show_pk=show.pk, code=code, today=timezone.now().astimezone(show.zone).date())
    context = {
        "show": show, "room": "send", "page": page, "form": form, "again": SendAgainForm(prefix=""), "packing": packing,
    }  # fmt: skip
    return render(request, "fulfilment/send_parcel.html", context)


@room("POST")
def send_again(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """The parcel goes out once more."""
    if find_parcel_page(show_pk=show.pk, code=code) is None:
        raise Http404
    form = SendAgainForm(request.POST)
    if form.is_valid():
        try:
            act: dict[str, Any] = {"by": request.user.get_username(), "now": timezone.now()}
            found = send_parcel_again(show=show, code=code, note="", **form.cleaned_data, **act)
            messages.success(request, f"Parcel {found.number} is to be packed again, as posting {found.posting}.")
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
    return redirect("fulfilment:parcel", show_code=show.code, code=code)

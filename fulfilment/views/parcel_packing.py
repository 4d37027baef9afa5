"""What a parcel travels in and weighs, for whoever packs; and one parcel all the same for what was refused."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.views.rooms import room, workroom
from fulfilment.forms.parcel_packing import ParcelPackingForm, RefusedForm, packing_start
from fulfilment.queries.parcel_packing import find_parcel_packing
from fulfilment.services.parcel_plan import change_packing
from fulfilment.services.parcel_plan import pack_anyway as pack_refused_anyway


@workroom("GET", "POST")
def parcel_packing(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Another mailer, or the weight on the scales, with what stands against it."""
    now = timezone.now()
    packing = find_parcel_packing(show_pk=show.pk, code=code, today=now.astimezone(show.zone).date())
    if packing is None:
        raise Http404
    typed = request.POST if request.method == "POST" else None
    form = ParcelPackingForm(typed, show=show, packing=packing, initial=packing_start(packing))
    if form.is_bound and form.is_valid():
        try:
            is_new = change_packing(show=show, code=code, wish=form.wish, by=request.user.get_username(), now=now)
            said = "Kept. The papers of this parcel are being made again: put away the old ones."
            messages.success(request, said if is_new else "It was so already; nothing was changed.")
            return redirect("fulfilment:parcel_packing", show_code=show.code, code=code)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
    context = {"show": show, "room": "send", "packing": packing, "form": form}
    return render(request, "fulfilment/parcel_packing.html", context)


@room("POST")
def pack_anyway(request: HttpRequest, show: Any) -> HttpResponse:
    """What no mailer or limit allows goes into one parcel all the same."""
    form = RefusedForm(request.POST)
    if form.is_valid():
        try:
            by, now = request.user.get_username(), timezone.now()
            job = pack_refused_anyway(show=show, copy_name=form.cleaned_data["copy_name"], by=by, now=now)
            return redirect("campaign:job", show_code=show.code, code=job.code)
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
    return redirect("fulfilment:send", show_code=show.code)

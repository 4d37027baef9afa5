"""Tracking numbers from a table, with a preview; and the list of parcels as a file."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.measures.words import count_of
from campaign.sheets import UnreadableSheet
from campaign.views.rooms import room
from fulfilment.forms.tracking import TrackingForm
from fulfilment.queries.parcel_list import COLUMNS
from fulfilment.services.tracking import read_tracking, take_tracking, write_parcel_list


@room("GET", "POST")
def tracking(request: HttpRequest, show: Any) -> HttpResponse:
    """After the first button what each row does; after the second it is done."""
    form = TrackingForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    sheet = None
    if form.is_bound and form.is_valid():
        try:
            sheet = read_tracking(show=show, data=form.cleaned_data["data"])
            if "store" in request.POST and not sheet.faults:
                act: dict[str, Any] = {"by": request.user.get_username(), "now": timezone.now()}
                count = take_tracking(show=show, sheet=sheet, **act)
                messages.success(request, f"The numbers are kept; {count_of(count, 'parcel')} newly posted.")
                return redirect("fulfilment:send", show_code=show.code)
        except (UnreadableSheet, Refusal) as fault:
            form.add_error(None, fault.sentence if isinstance(fault, Refusal) else str(fault))
        if sheet and form.is_valid():
            form = TrackingForm(initial={"text": sheet.text})
    context = {"show": show, "room": "send", "form": form, "sheet": sheet, "columns": COLUMNS}
    return render(request, "fulfilment/send_tracking.html", context)


@room("GET")
def parcel_list(request: HttpRequest, show: Any, file_format: str) -> HttpResponse:
    """The list as a file."""
    file = write_parcel_list(show=show, file_format=file_format)
    response = HttpResponse(file.data, content_type=file.content_type)
    response["Content-Disposition"] = f'attachment; filename="{file.name}"'
    return response

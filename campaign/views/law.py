"""The page Law in the room Fund, and the notice that posting is late."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.forms.late import LateForm
from campaign.queries.late import list_begun, list_notices, read_waiting
from campaign.queries.law import read_law
from campaign.services.late_notices import preview_notice, send_late_notice
from campaign.views.rooms import is_saving, room

PART = {"room": "fund", "part": "law"}


@room("GET")
def law(request: HttpRequest, show: Any) -> HttpResponse:
    """Checklists by region with the dates of this campaign, and what is said of the prints."""
    return render(
        request, "campaign/studio/law.html", {**PART, "show": show, "page": read_law(show, now=timezone.now())}
    )


@room("GET", "POST")
def late_posting(request: HttpRequest, show: Any) -> HttpResponse:
    """Who waits, the notices so far with their answers, and the next one: looked at first, then sent."""
    start = {"request_key": uuid.uuid4(), "has_day": "day"}
    form, now, preview = LateForm(request.POST or None, initial=start), timezone.now(), None
    if request.method == "POST" and form.is_valid():
        try:
            if is_saving(request):
                key = form.cleaned_data["request_key"]
                job = send_late_notice(show=show, request_key=key, now=now, **form.wish)
                messages.success(request, "Written. The mails leave after a minute; until then it can be called off.")
                return redirect("campaign:job", show_code=show.code, code=job.code)
            preview = preview_notice(show=show, now=now, **form.wish)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
    found = {"notices": list_notices(show), "waiting": read_waiting(show), "begun": list_begun(show)}
    context = {**PART, "show": show, "form": form, "preview": preview, **found}
    return render(request, "campaign/studio/late_posting.html", context)

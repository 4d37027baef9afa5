"""Dates set by others: grants, sponsors, the gallery."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.access import get_deadline
from campaign.errors import Refusal
from campaign.forms.schedule import DeadlineForm
from campaign.services.schedule import add_deadline, change_deadline, mark_deadline, remove_deadline
from campaign.views.rooms import ask, room


@room("GET", "POST")
def new_deadline(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty sheet for a deadline."""
    form = DeadlineForm(request.POST or None, show=show, initial={"uid": uuid.uuid4(), "kind": "grant"})
    if request.method == "POST" and form.is_valid():
        try:
            add_deadline(show=show, uid=form.cleaned_data["uid"], wish=form.wish)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
        else:
            return redirect("campaign:schedule", show_code=show.code)
    return _sheet(request, show=show, form=form, deadline=None)


@room("GET", "POST")
def deadline(request: HttpRequest, show: Any, uid: uuid.UUID) -> HttpResponse:
    """One deadline."""
    found = get_deadline(show=show, uid=uid)
    start = {name: getattr(found, name) for name in DeadlineForm.base_fields}
    form = DeadlineForm(request.POST or None, show=show, initial=start)
    if request.method == "POST" and form.is_valid():
        change_deadline(deadline=found, wish=form.wish)
        messages.success(request, "Saved. In the calendar the entry moves.")
        return redirect("campaign:schedule", show_code=show.code)
    return _sheet(request, show=show, form=form, deadline=found)


@room("POST")
def meet_deadline(request: HttpRequest, show: Any, uid: uuid.UUID) -> HttpResponse:
    """Mark it as done, or, with `open`, as not done after all."""
    mark_deadline(deadline=get_deadline(show=show, uid=uid), is_done="open" not in request.POST)
    return redirect("campaign:schedule", show_code=show.code)


@room("GET", "POST")
def delete_deadline(request: HttpRequest, show: Any, uid: uuid.UUID) -> HttpResponse:
    """Asks, then takes the deadline out."""
    found = get_deadline(show=show, uid=uid)
    back = reverse("campaign:schedule", args=[show.code])
    if request.method == "POST":
        remove_deadline(deadline=found)
        return redirect(back)
    return ask(
        request, show=show, room_name="measure", question=f"Take “{found}” out of the schedule?", button="Take it out",
        words="It leaves the calendar as well. One that was handed in can stay and be marked as done.", back=back,
    )  # fmt: skip


def _sheet(request: HttpRequest, *, show: Any, form: Any, deadline: Any) -> HttpResponse:
    context = {"show": show, "room": "measure", "part": "schedule", "form": form, "deadline": deadline}
    return render(request, "campaign/studio/deadline.html", context)

"""The minimum, and calling a show off: first the sums, then the decision."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.forms.ending import CallOffForm, MinimumForm
from campaign.queries.minimum import is_minimum_fixed, minimum_words, read_minimum
from campaign.queries.refunds import read_call_off
from campaign.services.calling_off import call_off_show
from campaign.services.minimum import set_minimum
from campaign.views.rooms import room


@room("GET", "POST")
def minimum(request: HttpRequest, show: Any) -> HttpResponse:
    """The least wall money and what happens below it; fixed once somebody has ordered."""
    start = {"minimum_minor": show.minimum_minor, "below_minimum": show.below_minimum}
    form = MinimumForm(request.POST or None, show=show, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            set_minimum(show=show, **form.cleaned_data)
            messages.success(request, "Kept. The public page, the order form and the mails say it in these words.")
            return redirect("campaign:minimum", show_code=show.code)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
    context = {
        "show": show, "room": "fund", "part": "minimum", "form": form, "words": minimum_words(show),
        "is_fixed": is_minimum_fixed(show), "standing": read_minimum(show),
    }  # fmt: skip
    return render(request, "campaign/studio/minimum.html", context)


@room("GET", "POST")
def call_off(request: HttpRequest, show: Any) -> HttpResponse:
    """The sums that would go back, and the form that sets it going."""
    form = CallOffForm(request.POST or None, show=show)
    if request.method == "POST" and form.is_valid():
        try:
            job = call_off_show(show=show, words=form.cleaned_data["words"], now=timezone.now())
            messages.success(request, "The show is called off. The orders end one after another, each with its letter.")
            return redirect("campaign:job", show_code=show.code, code=job.code)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
    context = {"show": show, "room": "fund", "part": "close", "form": form, "picture": read_call_off(show)}
    return render(request, "campaign/studio/call_off.html", context)

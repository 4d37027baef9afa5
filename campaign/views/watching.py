"""Watching the campaign: its course, where it may end, and which links brought orders."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.forms.watching import SourceForm
from campaign.mail import public_link
from campaign.queries.watching import read_watching
from campaign.services.sources import make_source
from campaign.views.rooms import room


@room("GET", "POST")
def watching(request: HttpRequest, show: Any) -> HttpResponse:
    """The page; a POST makes a link with a tag."""
    form = SourceForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            source = make_source(show=show, name=form.cleaned_data["name"], now=timezone.now())
        except Refusal as refusal:
            form.add_error("name", refusal.sentence)
        else:
            messages.success(request, f"The link for “{source.name}” is in the table.")
            return redirect("campaign:watching", show_code=show.code)
    context = {
        "show": show, "room": "fund", "part": "watching", "page": read_watching(show, now=timezone.now()), "form": form,
        "link": public_link("campaign:show", show.code),
    }  # fmt: skip
    return render(request, "campaign/studio/watching.html", context)

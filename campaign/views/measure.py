"""The room Measure: its door, and the show's own words, dates and shares."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from campaign.forms.settings import SettingsForm, settings_initial
from campaign.queries.drawn import show_walls
from campaign.queries.room import read_room
from campaign.services.show_settings import change_settings
from campaign.views.rooms import apply_edit, room


@room("GET")
def measure(request: HttpRequest, show: Any) -> HttpResponse:
    """What has been measured and priced so far, and what is missing."""
    context = {"show": show, "room": "measure", "part": "room", "facts": read_room(show), "drawn": show_walls(show)}
    return render(request, "campaign/studio/measure.html", context)


@room("GET", "POST")
def settings(request: HttpRequest, show: Any) -> HttpResponse:
    """The show's own words, dates and shares."""
    form = SettingsForm(request.POST or None, show=show, initial=settings_initial(show))
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        if apply_edit(request, show=show, form=form, act=lambda: change_settings(show=show, values=values)):
            return redirect("campaign:settings", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "settings", "form": form}
    return render(request, "campaign/studio/settings.html", context)

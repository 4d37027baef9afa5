"""The room Measure: its door, and the show's own words, dates and shares."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from campaign.forms.settings import SettingsForm, settings_initial
from campaign.queries.drawn import show_walls
from campaign.queries.room import read_room
from campaign.services import undo
from campaign.services.show_settings import change_settings
from campaign.views.rooms import apply_edit, room

# The lists that a taken-back step may have changed, by the part of Measure that the button stood in.
PARTS = {"walls": "walls", "works": "works", "finishes": "finishes", "prices": "prices", "costs": "show_costs",
         "gifts": "gifts", "wall_prices": "wall_prices", "schedule": "schedule", "settings": "settings"}  # fmt: skip


@room("POST")
def take_back(request: HttpRequest, show: Any) -> HttpResponse:
    """Undoes the last step, once; leads to the list it was shown in, because the page itself may be gone."""
    key = request.POST.get("step", "")
    step = int(key) if key.isdecimal() and len(key) < 18 else 0
    apply_edit(
        request, show=show, form=None, done="Taken back.", act=lambda: undo.take_back(show=show, step=step)
    )  # fmt: skip
    return redirect(f"campaign:{PARTS.get(request.POST.get('part', ''), 'measure')}", show_code=show.code)


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

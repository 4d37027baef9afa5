"""The studio's door and the standing page: the show as it stands, and why."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from campaign.access import list_shows_for_artist
from campaign.queries.all_stairs import read_all_stairs
from campaign.queries.studio import read_studio_page
from campaign.views.rooms import room


@never_cache
@login_required
@require_GET
def studio(request: HttpRequest) -> HttpResponse:
    """The one show there is, or the list of them."""
    shows = list_shows_for_artist(request.user)
    if len(shows) == 1:
        return redirect("campaign:standing", show_code=shows[0].code)
    return render(request, "campaign/studio/shows.html", {"shows": shows})


@room("GET")
def standing(request: HttpRequest, show: Any) -> HttpResponse:
    """The show as it stands."""
    return render(request, "campaign/studio/standing.html", {"show": show, "page": read_studio_page(show)})


@room("GET")
def staircase(request: HttpRequest, show: Any) -> HttpResponse:
    """The staircase drawn, what is near the money, and every step in figures."""
    return render(request, "campaign/studio/all_stairs.html", {"show": show, "page": read_all_stairs(show)})

"""The studio's door and the standing page: the show as it stands, and why."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from campaign.access import is_artist, list_shows_for_helper
from campaign.queries.all_stairs import read_all_stairs
from campaign.queries.studio import read_studio_page
from campaign.views.rooms import room


@never_cache
@login_required
@require_GET
def studio(request: HttpRequest) -> HttpResponse:
    """The one show there is, or the list of them."""
    shows = list_shows_for_helper(request.user)
    first_page = "campaign:standing" if is_artist(request.user) else "fulfilment:print"
    if len(shows) == 1:
        return redirect(first_page, show_code=shows[0].code)
    return render(request, "campaign/studio/shows.html", {"shows": shows, "first_page": first_page})


@room("GET")
def standing(request: HttpRequest, show: Any) -> HttpResponse:
    """The show as it stands."""
    return render(request, "campaign/studio/standing.html", {"show": show, "page": read_studio_page(show)})


@room("GET")
def staircase(request: HttpRequest, show: Any) -> HttpResponse:
    """The staircase drawn, what is near the money, and every step in figures."""
    return render(request, "campaign/studio/all_stairs.html", {"show": show, "page": read_all_stairs(show)})

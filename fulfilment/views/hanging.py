"""The room Hang: the hanging sheet, wall by wall."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from campaign.views.rooms import room
from fulfilment.queries.cautions import DRILLING
from fulfilment.queries.hanging import read_hanging


@room("GET")
def hang(request: HttpRequest, show: Any) -> HttpResponse:
    """Every wall to scale, its works with their places in figures, and the cautions they call for."""
    context = {"show": show, "room": "hang", "sheet": read_hanging(show), "drilling": DRILLING}
    return render(request, "fulfilment/hang.html", context)

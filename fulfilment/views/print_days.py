"""The print days: day by day, what comes out, when it is dry and when it can hang."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from campaign.views.rooms import workroom
from fulfilment.queries.print_days import read_print_days


@workroom("GET")
def print_days(request: HttpRequest, show: Any) -> HttpResponse:
    """The days that are left, from today on."""
    context = {"show": show, "room": "print", "part": "days", "page": read_print_days(show, now=timezone.now())}
    return render(request, "fulfilment/print_days.html", context)

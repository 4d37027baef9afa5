"""The room Settle: where the money is and to whom some goes back."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from campaign.views.rooms import room
from fulfilment.queries.settling import read_settle


@room("GET")
def settle(request: HttpRequest, show: Any) -> HttpResponse:
    """Balances of the cash book, wall money, debts to backers."""
    context = {"show": show, "room": "settle", "picture": read_settle(show)}
    return render(request, "fulfilment/settle.html", context)

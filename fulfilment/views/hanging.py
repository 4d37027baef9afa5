"""The room Hang: the hanging sheet, wall by wall, on the page and as a paper."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from campaign.errors import TemporaryFailure
from campaign.views.papers import pdf_answer
from campaign.views.rooms import room
from fulfilment.queries.cautions import DRILLING
from fulfilment.queries.hanging import read_hanging
from fulfilment.services.hanging_sheet import make_hanging_sheet


@room("GET")
def hang(request: HttpRequest, show: Any) -> HttpResponse:
    """Every wall to scale, its works with their places in figures, and the cautions they call for."""
    context = {"show": show, "room": "hang", "sheet": read_hanging(show), "drilling": DRILLING}
    return render(request, "fulfilment/hang.html", context)


@room("GET")
def hanging_sheet(request: HttpRequest, show: Any) -> HttpResponse:
    """The same as a paper, to take to the wall."""
    try:
        made = make_hanging_sheet(show=show)
    except TemporaryFailure as failure:
        messages.error(request, str(failure))
        return redirect("fulfilment:hang", show_code=show.code)
    return pdf_answer(made.pdf, name=f"hanging-sheet-{show.code}.pdf")

"""The cut drawings: laying prints out, a sheet or length at a time on the page, all of them as a paper."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.errors import Refusal, TemporaryFailure
from campaign.measures.words import count_of
from campaign.views.papers import pdf_answer
from campaign.views.rooms import room, workroom
from fulfilment.forms.paper_stock import CountForm
from fulfilment.queries.cut_drawings import read_cutting
from fulfilment.queries.nests import find_nest
from fulfilment.services.cut_drawings import make_cut_drawings
from fulfilment.services.nests import lay_out
from fulfilment.services.show_prints import tick_part


@workroom("GET")
def cutting(request: HttpRequest, show: Any) -> HttpResponse:
    """How prints lie on their paper; `?paper=…&part=…` opens a drawing, `?nest=…` an earlier nest."""
    return _page(request, show=show)


@room("POST")
def lay_prints(request: HttpRequest, show: Any) -> HttpResponse:
    """Count what is there of each paper, and lay everything out that is still to be printed."""
    page = read_cutting(show, asked={})
    form = CountForm(request.POST, show=show, stocks=page.stocks)
    if not form.is_valid():
        return _page(request, show=show, form=form)
    key = form.cleaned_data["request_key"]
    try:
        lay_out(show=show, there=form.there, request_key=key, now=timezone.now())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("fulfilment:cutting", show_code=show.code)
    messages.success(request, "The prints are laid out.")
    return redirect("fulfilment:cutting", show_code=show.code)


@workroom("POST")
def tick_sheet(request: HttpRequest, show: Any) -> HttpResponse:
    """Mark all prints of one sheet or length as printed."""
    page = read_cutting(show, asked=request.POST)
    if page.drawing is None or page.nest is None or page.paper is None:
        raise Http404
    state, by = page.drawing.state, request.user.get_username()
    try:
        count = tick_part(
            show=show, chosen=state.chosen, copies=state.copies, proofs=state.proofs, by=by, now=timezone.now()
        )
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, f"{page.drawing.name}: {count_of(count, 'print')} marked as printed.")
    back = reverse("fulfilment:cutting", args=[show.code])
    return redirect(f"{back}?nest={page.nest.nest.code}&paper={page.paper.code}")


@workroom("GET")
def cut_drawings_pdf(request: HttpRequest, show: Any) -> HttpResponse:
    """All drawings as a paper for the cutting table."""
    nest = find_nest(show, code=request.GET.get("nest", ""))
    if nest is None:
        raise Http404
    try:
        made = make_cut_drawings(show=show, nest=nest)
    except TemporaryFailure as failure:
        messages.error(request, str(failure))
        return redirect("fulfilment:cutting", show_code=show.code)
    return pdf_answer(made.pdf, name=f"cut-drawings-{show.code}.pdf")


def _page(request: HttpRequest, *, show: Any, form: CountForm | None = None) -> HttpResponse:
    page = read_cutting(show, asked=request.GET)
    context = {
        "show": show, "room": "print", "part": "cutting", "page": page, "faulty": form,
        "form": form or CountForm(show=show, stocks=page.stocks),
    }  # fmt: skip
    return render(request, "fulfilment/cut_drawings.html", context)

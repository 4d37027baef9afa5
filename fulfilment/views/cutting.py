"""The cut drawings: laying prints out, a sheet or length at a time on the page, all of them as a paper."""

import uuid
from collections.abc import Mapping
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
from fulfilment.forms.print_list import SheetForm
from fulfilment.queries.cut_drawings import find_booklet, read_cutting
from fulfilment.queries.nests import PartState, find_nest
from fulfilment.services.cut_drawings import make_cut_drawings
from fulfilment.services.nests import lay_out
from fulfilment.services.sheet_marks import SheetPrints, spoil_sheet, tick_sheet


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
def mark_sheet(request: HttpRequest, show: Any) -> HttpResponse:
    """All prints of one sheet or length came out well, or all are spoiled."""
    page, form = read_cutting(show, asked=request.POST), SheetForm(request.POST)
    if not page.is_what(request.POST) or page.drawing is None:
        raise Http404
    if not form.is_valid():
        return _page(request, show=show, sheet_form=form, asked=request.POST)
    try:
        said = _mark(request, show=show, state=page.drawing.state, values=form.cleaned_data)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, f"{page.drawing.name}: {said}")
    back = reverse("fulfilment:cutting", args=[show.code])
    return redirect(f"{back}?nest={request.POST['nest']}&paper={request.POST['paper']}")


def _mark(request: HttpRequest, *, show: Any, state: PartState, values: dict[str, Any]) -> str:
    prints, by, now = SheetPrints(state.chosen, state.copies, state.proofs), request.user.get_username(), timezone.now()
    if "spoiled" in request.POST:
        key = values["request_key"] or uuid.uuid4()
        count = spoil_sheet(show=show, prints=prints, note=values["note"], by=by, request_key=key, now=now)
        return f"{count_of(count, 'print')} spoiled, to be printed again. Lay out anew to give them a place."
    return f"{count_of(tick_sheet(show=show, prints=prints, by=by, now=now), 'print')} marked as printed."


@workroom("GET")
def cut_drawings_pdf(request: HttpRequest, show: Any) -> HttpResponse:
    """Drawings as a paper for the cutting table: of many those of the PDF asked for, `?pdf=2`."""
    nest = find_nest(show, code=request.GET.get("nest", ""))
    booklet = find_booklet(show, nest=nest, number=request.GET.get("pdf", "")) if nest else None
    if nest is None or booklet is None:
        raise Http404
    try:
        made = make_cut_drawings(show=show, nest=nest, booklet=booklet)
    except TemporaryFailure as failure:
        messages.error(request, str(failure))
        return redirect("fulfilment:cutting", show_code=show.code)
    which = f"-{booklet.number}" if booklet.of > 1 else ""
    return pdf_answer(made.pdf, name=f"cut-drawings-{show.code}{which}.pdf")


def _page(
    request: HttpRequest,
    *,
    show: Any,
    form: CountForm | None = None,
    sheet_form: SheetForm | None = None,
    asked: Mapping[str, str] | None = None,
) -> HttpResponse:
    page = read_cutting(show, asked=asked or request.GET)
    context = {
        "show": show, "room": "print", "part": "cutting", "page": page, "faulty": form, "faulty_sheet": sheet_form,
        "form": form or CountForm(show=show, stocks=page.stocks), "sheet_form": sheet_form or SheetForm(),
    }  # fmt: skip
    return render(request, "fulfilment/cut_drawings.html", context)

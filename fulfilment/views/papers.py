"""Papers of parcels on demand: slips and labels once more, labels on sheets, the picking list, the line on slips."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from campaign.errors import Refusal, TemporaryFailure
from campaign.views.papers import pdf_answer
from campaign.views.rooms import room, workroom
from fulfilment.forms.label_sheets import LabelSheetForm, PapersForm, SlipLineForm
from fulfilment.packing import write_numbers
from fulfilment.queries.paper_choice import choose_parcels, find_grid, read_choices
from fulfilment.queries.slip_line import read_slip_line
from fulfilment.services.chosen_papers import make_chosen
from fulfilment.services.label_sheets import save_label_sheet
from fulfilment.services.slip_line import save_slip_line


@workroom("GET")
def papers(request: HttpRequest, show: Any) -> HttpResponse:
    """What can be printed, and for which parcels; what was chosen before stands in the fields."""
    choices = read_choices(show)
    chosen = {name: request.GET[name] for name in ("which", "numbers", "first_place") if name in request.GET}
    return _page(request, show=show, form=PapersForm(initial=chosen, choices=choices))


def _page(request: HttpRequest, *, show: Any, form: PapersForm) -> HttpResponse:
    context = {"show": show, "room": "send", "form": form, "line": read_slip_line(show)}
    return render(request, "fulfilment/papers.html", context)


@workroom("GET")
def papers_pdf(request: HttpRequest, show: Any) -> HttpResponse:
    """The paper that a button names, for the parcels that are chosen; or the page again, with what is wrong."""
    form = PapersForm(request.GET, choices=read_choices(show))
    if not form.is_valid() or not form.cleaned_data["paper"]:
        return _page(request, show=show, form=form)
    wish = form.cleaned_data
    parcels = choose_parcels(show, which=wish["which"], numbers=wish["numbers"])
    fault = form.most_fault(len(parcels))
    if fault:
        form.add_error("numbers" if wish["numbers"] else None, fault)
        return _page(request, show=show, form=form)
    try:
        made = make_chosen(
            wish["paper"], parcels, show=show, grid=form.choices.grid, first_place=wish["first_place"]
        )  # fmt: skip
    except (Refusal, TemporaryFailure) as problem:
        form.add_error(None, problem.sentence if isinstance(problem, Refusal) else str(problem))
        return _page(request, show=show, form=form)
    span = write_numbers(parcel.number for parcel in parcels).replace(", ", "_")[:60]
    return pdf_answer(made.pdf, name=f"{wish['paper']}-{show.code}-{span}.pdf")


@room("GET", "POST")
def label_sheet(request: HttpRequest, show: Any) -> HttpResponse:
    """The studio's sheets of labels, said once."""
    form = LabelSheetForm(request.POST if request.method == "POST" else None, initial=_known())
    if form.is_bound and form.is_valid():
        save_label_sheet(grid=form.cleaned_data["grid"])
        messages.success(request, f"Kept: sheets of {form.cleaned_data['grid'].words}.")
        return redirect("fulfilment:papers", show_code=show.code)
    return render(request, "fulfilment/label_sheet.html", {"show": show, "room": "send", "form": form})


@room("GET", "POST")
def slip_line(request: HttpRequest, show: Any) -> HttpResponse:
    """A line of the artist's own on each packing slip."""
    form = SlipLineForm(request.POST if request.method == "POST" else None, initial={"words": read_slip_line(show)})
    if form.is_bound and form.is_valid():
        save_slip_line(show=show, words=form.cleaned_data["words"])
        messages.success(request, "Kept. Slips of parcels that are to be packed say it.")
        return redirect("fulfilment:papers", show_code=show.code)
    return render(request, "fulfilment/slip_line.html", {"show": show, "room": "send", "form": form})


def _known() -> dict[str, Any]:
    grid = find_grid()
    return {name: getattr(grid, name) for name in grid.__dataclass_fields__} if grid else {"page": "A4"}

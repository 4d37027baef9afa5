"""What is only looked at: what does not hang and why, what if, two shows side by side. Nothing is stored."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from campaign.access import get_work
from campaign.forms.trials import CompareForm, WhatIfForm
from campaign.planning.costing.changes import Changes
from campaign.planning.errors import PlanningError
from campaign.queries.asking import read_asking
from campaign.queries.compared import compare_sums
from campaign.queries.missing import find_missing_work, read_missing
from campaign.queries.standing import read_standing
from campaign.queries.what_if import Trial, list_what_can_change, read_what_if
from campaign.views.rooms import room


@room("GET")
def missing(request: HttpRequest, show: Any) -> HttpResponse:
    """Every work that the money in hand does not hang, and what would hang it."""
    return render(request, "campaign/studio/missing.html", {"show": show, "page": read_missing(show)})


@room("GET")
def missing_work(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One such work, with every change that was tried."""
    known = get_work(show=show, code=code)
    context = {"show": show, "known": known, "work": find_missing_work(show, code=known.code)}
    return render(request, "campaign/studio/missing_work.html", context)


@room("GET")
def what_if(request: HttpRequest, show: Any) -> HttpResponse:
    """The show as it would be with other values."""
    form = WhatIfForm(request.GET or None, show=show, offered=list_what_can_change(show))
    context: dict[str, Any] = {"show": show, "form": form, "standing": read_standing(show)}
    if form.is_valid():
        trial = _trial(form.cleaned_data)
        context["asking"] = read_asking(show, commission_bp=trial.commission_bp)
        try:
            context["what_if"] = read_what_if(context["standing"], trial=trial)
        except PlanningError as error:
            form.add_error(None, f"No show can be worked out from these values: {error}")
    return render(request, "campaign/studio/what_if.html", context)


def _trial(values: dict[str, Any]) -> Trial:
    """What the form asks to try."""
    changes = Changes(
        item_code=values["item"],
        price_minor=values["price_minor"] or 0,
        wall_code=values["wall"],
        wall_width_mm=values["wall_width_mm"] or 0,
        finish_code=values["finish"],
        finish_worth=values["finish_worth"] or 0,
        printer_seconds=values["printer_seconds"],
    )
    return Trial(changes=changes, money_minor=values["money_minor"], commission_bp=values["commission_bp"])


@room("GET")
def compare(request: HttpRequest, show: Any) -> HttpResponse:
    """Two sums of money and the best show for each; at first the money in hand and the next level."""
    standing = read_standing(show)
    level = standing.next_level
    then_minor = level.level.money_minor if level else standing.if_paid_minor
    start = {"before_minor": max(0, standing.in_hand_minor), "after_minor": then_minor}
    form = CompareForm(request.GET or None, show=show, initial=start)
    sums = form.cleaned_data if form.is_bound and form.is_valid() else None if form.is_bound else start
    compared = compare_sums(standing, **sums) if sums else None
    context = {"show": show, "form": form, "sums": sums, "compared": compared, "standing": standing}
    return render(request, "campaign/studio/compare.html", context)

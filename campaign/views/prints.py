"""The print that is ordered ahead: what it leaves for the walls, the edition itself, postage and the expected fee."""

from dataclasses import asdict
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.access import get_edition
from campaign.errors import Refusal
from campaign.forms.prints import (
    EditionForm,
    FeeForm,
    PostageRows,
    PrintTrialForm,
    TaxRows,
    postage_start,
    postage_wishes,
    tax_start,
    tax_wishes,
)
from campaign.queries.editions import (
    edition_notes,
    edition_start,
    list_editions,
    list_postage,
    list_taxes,
    postage_notes,
    work_choices,
)
from campaign.queries.print_prices import read_print_prices, stored_figures
from campaign.services.editions import remove_edition, save_edition
from campaign.services.postage import set_postage
from campaign.services.pricing import set_fee_estimate
from campaign.services.taxes import set_taxes
from campaign.views.rooms import apply_edit, ask, is_saving, room


@room("GET")
def prints(request: HttpRequest, show: Any) -> HttpResponse:
    """The only print there is, or the list of them."""
    editions = list_editions(show)
    if len(editions) == 1:
        return redirect("campaign:print_price", show_code=show.code, code=editions[0].code)
    context = {"show": show, "room": "fund", "part": "prints", "editions": editions}
    return render(request, "campaign/studio/prints.html", context)


@room("GET")
def print_price(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """What one copy leaves, how many each level takes, and the same with other figures, which are not kept."""
    edition = get_edition(show=show, code=code)
    today = timezone.now().astimezone(show.zone).date()
    stored = stored_figures(show, edition=edition, today=today)
    form = PrintTrialForm(request.GET or None, show=show, initial=asdict(stored))
    trial = form.trial(stored) if form.is_bound and form.is_valid() else stored
    context = {
        "show": show, "room": "fund", "part": "prints", "form": form, "is_trial": trial != stored,
        "page": read_print_prices(show, edition=edition, trial=trial, today=today), "editions": list_editions(show),
    }  # fmt: skip
    return render(request, "campaign/studio/print_price.html", context)


@room("GET", "POST")
def new_edition(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty sheet for an edition."""
    return _edition(request, show=show, edition=None)


@room("GET", "POST")
def edition(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One edition: its words, measures, costs and number of copies."""
    return _edition(request, show=show, edition=get_edition(show=show, code=code))


@room("GET", "POST")
def delete_edition(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then takes an edition away that nobody has ordered."""
    found = get_edition(show=show, code=code)
    back = reverse("campaign:prints", args=[show.code])
    if request.method == "POST":
        apply_edit(request, show=show, form=None, act=lambda: remove_edition(show=show, edition=found))
        return redirect(back)
    return ask(
        request, show=show, room_name="fund", question=f"Take the print “{found}” away?", button="Take it away",
        words="A print that has been ordered stays.", back=back,
    )  # fmt: skip


def _edition(request: HttpRequest, *, show: Any, edition: Any) -> HttpResponse:
    kwargs = {"show": show, "initial": edition_start(edition), "works": work_choices(show)}
    form = EditionForm(request.POST or None, **kwargs)
    if request.method == "POST" and form.is_valid():
        wish = form.wish
        if apply_edit(request, show=show, form=form, act=lambda: save_edition(show=show, edition=edition, wish=wish)):
            return redirect("campaign:prints", show_code=show.code)
    context = {
        "show": show, "room": "fund", "part": "prints", "edition": edition, "form": form,
        "notes": edition_notes(edition),
    }  # fmt: skip
    return render(request, "campaign/studio/edition.html", context)


@room("GET", "POST")
def postage(request: HttpRequest, show: Any) -> HttpResponse:
    """What posting costs, zone by zone, in one table."""
    rows = PostageRows(request.POST or None, show=show, prefix="post", initial=postage_start(list_postage(show)))
    if "more" in request.POST:
        rows = rows.with_more()
    elif is_saving(request) and rows.is_valid() and _keep_postage(request, show=show, rows=rows):
        return redirect("campaign:postage", show_code=show.code)
    context = {"show": show, "room": "fund", "part": "prints", "rows": rows, "notes": postage_notes(show)}
    return render(request, "campaign/studio/postage.html", context)


def _keep_postage(request: HttpRequest, *, show: Any, rows: Any) -> bool:
    try:
        set_postage(show=show, rates=postage_wishes(rows), now=timezone.now())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return False
    messages.success(request, "The postage is kept. Orders that are placed already keep theirs.")
    return True


@room("GET", "POST")
def taxes(request: HttpRequest, show: Any) -> HttpResponse:
    """Which tax prints bear, country by country, in one table."""
    rows = TaxRows(request.POST or None, show=show, prefix="tax", initial=tax_start(list_taxes(show)))
    if "more" in request.POST:
        rows = rows.with_more()
    elif is_saving(request) and rows.is_valid() and _keep_taxes(request, show=show, rows=rows):
        return redirect("campaign:taxes", show_code=show.code)
    context = {"show": show, "room": "fund", "part": "prints", "rows": rows}
    return render(request, "campaign/studio/taxes.html", context)


def _keep_taxes(request: HttpRequest, *, show: Any, rows: Any) -> bool:
    try:
        set_taxes(show=show, rates=tax_wishes(rows))
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return False
    messages.success(request, "The taxes are kept. Orders that are placed already keep theirs.")
    return True


@room("GET", "POST")
def fee(request: HttpRequest, show: Any) -> HttpResponse:
    """What a payment processor is expected to keep."""
    start = {"fee_bp": show.fee_bp, "fee_fixed_minor": show.fee_fixed_minor}
    form = FeeForm(request.POST or None, show=show, initial=start)
    if request.method == "POST" and form.is_valid():
        set_fee_estimate(show=show, **form.figures)
        messages.success(request, "The estimate is kept.")
        return redirect("campaign:prints", show_code=show.code)
    context = {"show": show, "room": "fund", "part": "prints", "form": form}
    return render(request, "campaign/studio/fee.html", context)

"""What the works on the wall are offered for: the price list, wanted sums, another share of the gallery tried out."""

from dataclasses import asdict
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from campaign.forms.wall_prices import SaleTrialForm, WantedForm
from campaign.queries.wall_prices import list_wanted, read_wall_prices, stored_terms
from campaign.services.pricing import set_wanted_sums
from campaign.views.rooms import apply_edit, room


@room("GET")
def wall_prices(request: HttpRequest, show: Any) -> HttpResponse:
    """The price list, and the same with other figures, which are not kept."""
    stored = stored_terms(show)
    form = SaleTrialForm(request.GET or None, show=show, initial=asdict(stored))
    trial = form.trial(stored) if form.is_bound and form.is_valid() else stored
    context = {
        "show": show, "room": "measure", "part": "wall_prices", "form": form, "is_trial": trial != stored,
        "page": read_wall_prices(show, trial=trial),
    }  # fmt: skip
    return render(request, "campaign/studio/wall_prices.html", context)


@room("GET", "POST")
def wanted_sums(request: HttpRequest, show: Any) -> HttpResponse:
    """What is to be left of each work, and how prices are rounded."""
    start = {"round_to_minor": show.sale_rounding_minor, "frames_pass_through": show.frames_pass_through}
    form = WantedForm(request.POST or None, show=show, works=list_wanted(show), initial=start)
    if request.method == "POST" and form.is_valid():
        values = {name: form.cleaned_data[name] for name in start} | {"nets": form.nets}
        if apply_edit(request, show=show, form=form, act=lambda: set_wanted_sums(show=show, **values)):
            return redirect("campaign:wall_prices", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "wall_prices", "form": form}
    return render(request, "campaign/studio/wanted_sums.html", context)

"""What the show as a whole costs, and what is given in kind."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from campaign.forms.costing import CostRows, GiftRows, cost_wishes, gift_wishes
from campaign.queries.costing import gift_rows, price_choices, work_choices
from campaign.queries.room import list_show_costs
from campaign.services.gifts import set_gifts
from campaign.services.show_costs import set_show_costs
from campaign.views.rooms import apply_edit, is_saving, room


@room("GET", "POST")
def show_costs(request: HttpRequest, show: Any) -> HttpResponse:
    """What the show as a whole costs, in one table."""
    start = [{name: getattr(c, name) for name in CostRows.form.base_fields} for c in list_show_costs(show)]
    rows = CostRows(request.POST or None, show=show, prefix="costs", initial=start)
    if "more" in request.POST:
        rows = rows.with_more()
    elif is_saving(request) and rows.is_valid():
        costs = cost_wishes(rows)
        if apply_edit(request, show=show, form=None, act=lambda: set_show_costs(show=show, costs=costs)):
            return redirect("campaign:show_costs", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "costs", "rows": rows}
    return render(request, "campaign/studio/show_costs.html", context)


@room("GET", "POST")
def gifts(request: HttpRequest, show: Any) -> HttpResponse:
    """What is given instead of money, in one table."""
    kwargs = {"items": price_choices(show), "works": work_choices(show)}
    rows = GiftRows(request.POST or None, show=show, prefix="gifts", initial=gift_rows(show), form_kwargs=kwargs)
    if "more" in request.POST:
        rows = rows.with_more()
    elif is_saving(request) and rows.is_valid():
        wishes = gift_wishes(rows)
        if apply_edit(request, show=show, form=None, act=lambda: set_gifts(show=show, gifts=wishes)):
            return redirect("campaign:gifts", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "gifts", "rows": rows, "has_prices": bool(kwargs["items"])}
    return render(request, "campaign/studio/gifts.html", context)

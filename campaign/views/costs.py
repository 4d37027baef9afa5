"""What things cost: price book, finishes with their recipes, and the show as a whole."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.access import get_finish, get_price_item
from campaign.forms.costing import CostRows, FinishForm, PriceForm, RecipeRows, cost_wishes, finish_wish
from campaign.queries.room import list_examples, list_prices, list_show_costs, price_choices, recipe_rows
from campaign.services.finishes import remove_finish, save_finish
from campaign.services.prices import remove_price, save_price
from campaign.services.show_costs import set_show_costs
from campaign.views.rooms import apply_edit, ask, is_saving, room


@room("GET")
def prices(request: HttpRequest, show: Any) -> HttpResponse:
    """The price book."""
    context = {"show": show, "room": "measure", "part": "prices", "items": list_prices(show)}
    return render(request, "campaign/studio/prices.html", context)


@room("GET", "POST")
def new_price(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty line of the price book."""
    return _price(request, show=show, item=None, start={})


@room("GET", "POST")
def price(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One line of the price book."""
    item = get_price_item(show=show, code=code)
    start = {name: getattr(item, name) for name in PriceForm.base_fields}
    return _price(request, show=show, item=item, start=start)


@room("GET", "POST")
def delete_price(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then takes the line out."""
    item = get_price_item(show=show, code=code)
    back = reverse("campaign:prices", args=[show.code])
    if request.method == "POST":
        apply_edit(request, show=show, form=None, act=lambda: remove_price(show=show, item=item))
        return redirect(back)
    return ask(
        request, show=show, room_name="measure", question=f"Take “{item}” out of the price book?", button="Take it out",
        words="An entry that a recipe needs cannot be taken out.", back=back,
    )  # fmt: skip


def _price(request: HttpRequest, *, show: Any, item: Any, start: dict[str, Any]) -> HttpResponse:
    form = PriceForm(request.POST or None, show=show, initial=start)
    if request.method == "POST" and form.is_valid():
        wish = form.wish
        if apply_edit(request, show=show, form=form, act=lambda: save_price(show=show, item=item, wish=wish)):
            return redirect("campaign:prices", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "prices", "item": item, "form": form}
    return render(request, "campaign/studio/price.html", context)


@room("GET")
def finishes(request: HttpRequest, show: Any) -> HttpResponse:
    """Every finish with its recipe."""
    context = {"show": show, "room": "measure", "part": "finishes", "examples": list_examples(show)}
    return render(request, "campaign/studio/finishes.html", context)


@room("GET", "POST")
def new_finish(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty sheet for a finish."""
    return _finish(request, show=show, finish=None, start={"worth": 50})


@room("GET", "POST")
def finish(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One finish with its recipe."""
    found = get_finish(show=show, code=code)
    start = {name: getattr(found, name) for name in FinishForm.base_fields}
    return _finish(request, show=show, finish=found, start=start)


@room("GET", "POST")
def delete_finish(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then takes the finish off the list."""
    found = get_finish(show=show, code=code)
    back = reverse("campaign:finishes", args=[show.code])
    if request.method == "POST":
        apply_edit(request, show=show, form=None, act=lambda: remove_finish(show=show, finish=found))
        return redirect(back)
    return ask(
        request, show=show, room_name="measure", question=f"Take “{found}” off the list?", button="Take it off",
        words="A finish that works name cannot be taken off.", back=back,
    )  # fmt: skip


def _finish(request: HttpRequest, *, show: Any, finish: Any, start: dict[str, Any]) -> HttpResponse:
    kwargs = {"show": show, "prefix": "lines", "form_kwargs": {"items": price_choices(show)}}
    form = FinishForm(request.POST or None, show=show, initial=start)
    rows = RecipeRows(request.POST or None, initial=recipe_rows(finish), **kwargs)
    if "more" in request.POST:
        form, rows = FinishForm(show=show, initial=form.typed), rows.with_more()
    elif is_saving(request) and form.is_valid() & rows.is_valid():
        wish = finish_wish(form, rows)
        if apply_edit(request, show=show, form=form, act=lambda: save_finish(show=show, finish=finish, wish=wish)):
            return redirect("campaign:finishes", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "finishes", "finish": finish, "form": form, "rows": rows}
    return render(request, "campaign/studio/finish.html", context)


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

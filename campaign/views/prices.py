"""The price book: entries with packs, steps and size tables, the shelf, and prices that are getting old."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.access import get_price_item
from campaign.forms.prices import OldPricesForm, PriceForm, ShelfForm, SizePriceRows, StepRows, read_price
from campaign.queries.costing import list_prices, list_shelf, size_price_rows, step_rows
from campaign.queries.price_book import sized_codes
from campaign.services.prices import count_shelf, remove_price, save_price
from campaign.services.show_settings import change_settings
from campaign.views.rooms import apply_edit, ask, is_saving, room


@room("GET", "POST")
def prices(request: HttpRequest, show: Any) -> HttpResponse:
    """The price book, and since when a price in it counts as old."""
    form = OldPricesForm(request.POST or None, show=show, initial={"old_prices_before_on": show.old_prices_before_on})
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        if apply_edit(request, show=show, form=form, act=lambda: change_settings(show=show, values=values)):
            return redirect("campaign:prices", show_code=show.code)
    lines = list_prices(show)
    context = {"show": show, "room": "measure", "part": "prices", "lines": lines, "form": form}
    context["old"] = sum(line.is_old for line in lines)
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
    is_sized = item is not None and item.code in sized_codes(show)
    form = PriceForm(request.POST or None, show=show, initial=start, is_sized=is_sized)
    steps = StepRows(request.POST or None, show=show, prefix="steps", initial=step_rows(item))
    sizes = SizePriceRows(request.POST or None, show=show, prefix="sizes", initial=size_price_rows(item))
    if "more" in request.POST:
        form = PriceForm(show=show, initial=form.typed, is_sized=is_sized)
        steps, sizes = steps.with_more(), sizes.with_more()
    elif is_saving(request):
        wish = read_price(form, steps=steps, sizes=sizes)
        if wish and apply_edit(request, show=show, form=form, act=lambda: save_price(show=show, item=item, wish=wish)):
            return redirect("campaign:prices", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "prices", "item": item, "form": form}
    return render(request, "campaign/studio/price.html", context | {"steps": steps, "sizes": sizes})


@room("GET", "POST")
def shelf(request: HttpRequest, show: Any) -> HttpResponse:
    """The shelf, counted in one go."""
    form = ShelfForm(request.POST or None, show=show, items=list_shelf(show), sized=sized_codes(show))
    if is_saving(request) and form.is_valid():
        counted = form.shelf_milli
        if apply_edit(request, show=show, form=form, act=lambda: count_shelf(show=show, shelf_milli=counted)):
            return redirect("campaign:prices", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "prices", "form": form}
    return render(request, "campaign/studio/shelf.html", context)

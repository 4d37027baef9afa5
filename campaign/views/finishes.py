"""Finishes with their recipes and charges."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.access import get_finish
from campaign.forms.finishes import FinishForm, RecipeRows, finish_wish
from campaign.queries.costing import read_finishes, recipe_context, recipe_rows
from campaign.services.finishes import remove_finish, save_finish
from campaign.views.rooms import apply_edit, ask, is_saving, room


@room("GET")
def finishes(request: HttpRequest, show: Any) -> HttpResponse:
    """Every finish with its recipe."""
    examples, not_offered = read_finishes(show)
    context = {
        "show": show, "room": "measure", "part": "finishes", "examples": examples, "not_offered": not_offered,
    }  # fmt: skip
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
    kwargs = {"show": show, "prefix": "lines", "form_kwargs": recipe_context(show)}
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

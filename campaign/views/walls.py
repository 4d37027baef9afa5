"""Walls of the room: measured, changed, taken out."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.access import get_wall
from campaign.forms.measure import BlockedRows, WallForm, blocked_areas_fit, wall_wish
from campaign.queries.drawn import show_walls
from campaign.queries.room import list_walls
from campaign.services.walls import remove_wall, save_wall
from campaign.views.rooms import apply_edit, ask, is_saving, room


@room("GET")
def walls(request: HttpRequest, show: Any) -> HttpResponse:
    """Every wall, drawn and in figures."""
    context = {"show": show, "room": "measure", "part": "walls", "walls": list_walls(show), "drawn": show_walls(show)}
    return render(request, "campaign/studio/walls.html", context)


@room("GET", "POST")
def new_wall(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty sheet for a wall."""
    return _wall(request, show=show, wall=None, start={"centre_mm": show.centre_mm, "end_margin_mm": show.min_gap_mm})


@room("GET", "POST")
def wall(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One wall with everything that stands in the way on it."""
    found = get_wall(show=show, code=code)
    start = {name: getattr(found, name) for name in WallForm.base_fields}
    return _wall(request, show=show, wall=found, start=start)


@room("GET", "POST")
def delete_wall(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then takes the wall out."""
    found = get_wall(show=show, code=code)
    back = reverse("campaign:walls", args=[show.code])
    if request.method == "POST":
        apply_edit(request, show=show, form=None, act=lambda: remove_wall(show=show, wall=found))
        return redirect(back)
    return ask(
        request, show=show, room_name="measure", question=f"Take “{found}” out of the room?", button="Take it out",
        words="Works that hang there move to other walls or come down.", back=back,
    )  # fmt: skip


def _wall(request: HttpRequest, *, show: Any, wall: Any, start: dict[str, Any]) -> HttpResponse:
    areas = [{n: getattr(a, n) for n in BlockedRows.form.base_fields} for a in wall.blocked_areas.all()] if wall else []
    form = WallForm(request.POST or None, show=show, initial=start)
    rows = BlockedRows(request.POST or None, show=show, prefix="areas", initial=areas)
    if "more" in request.POST:
        form, rows = WallForm(show=show, initial=form.typed), rows.with_more()
    elif is_saving(request) and form.is_valid() & rows.is_valid() and _fit(form, rows):
        wish = wall_wish(form, rows)
        if apply_edit(request, show=show, form=form, act=lambda: save_wall(show=show, wall=wall, wish=wish)):
            return redirect("campaign:walls", show_code=show.code)
    drawn = show_walls(show, code=wall.code) if wall else ()
    context = {
        "show": show, "room": "measure", "part": "walls", "wall": wall, "form": form, "rows": rows, "drawn": drawn,
    }  # fmt: skip
    return render(request, "campaign/studio/wall.html", context)


def _fit(form: Any, rows: Any) -> bool:
    values = form.cleaned_data
    return blocked_areas_fit(rows, wall_width_mm=values["width_mm"], wall_height_mm=values["height_mm"])

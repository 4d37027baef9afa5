"""Walls of the room: measured, drawn as they are typed, changed, taken out."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.access import get_wall
from campaign.forms.walls import BlockedRows, WallForm, blocked_areas_fit, wall_as_typed, wall_wish
from campaign.queries.drawn import show_walls
from campaign.queries.room import list_walls
from campaign.queries.typed_wall import draw_typed_wall
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
    start = {"centre_mm": show.centre_mm, "end_margin_mm": show.min_gap_mm, "rows": 1}
    return _wall(request, show=show, wall=None, start=start)


@room("GET", "POST")
def wall(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One wall with everything that stands in the way on it."""
    found = get_wall(show=show, code=code)
    start = {name: getattr(found, name) for name in WallForm.base_fields}
    if found.rows == 1:
        start |= {"row_height_mm": None, "row_gap_mm": None}
    return _wall(request, show=show, wall=found, start=start)


@room("POST")
def draw_wall(request: HttpRequest, show: Any) -> HttpResponse:
    """The drawing alone of the wall as typed: what the page's script asks for while somebody types."""
    form, rows = WallForm(request.POST, show=show), BlockedRows(request.POST, show=show, prefix="areas")
    context = {"show": show, "typed": _as_typed(form, rows)}
    return render(request, "campaign/studio/typed_wall.html", context)


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
        words="Works that hang there move to other walls or come down; works pinned to it are pinned no more.",
        back=back,
    )  # fmt: skip


def _wall(request: HttpRequest, *, show: Any, wall: Any, start: dict[str, Any]) -> HttpResponse:
    areas = [{n: getattr(a, n) for n in BlockedRows.form.base_fields} for a in wall.blocked_areas.all()] if wall else []
    sent = request.POST if request.method == "POST" else None
    form = WallForm(sent, show=show, initial=start)
    rows = BlockedRows(sent, show=show, prefix="areas", initial=areas)
    drawn: Any = ()
    typed = None
    if "more" in request.POST:
        form, rows = WallForm(show=show, initial=form.typed), rows.with_more()
    elif request.method == "POST":
        typed = _as_typed(form, rows)
        if _fit(form, rows) and is_saving(request):
            wish = wall_wish(form, rows)
            if apply_edit(request, show=show, form=form, act=lambda: save_wall(show=show, wall=wall, wish=wish)):
                return redirect("campaign:walls", show_code=show.code)
    elif wall:
        drawn = show_walls(show, code=wall.code)
    context = {
        "show": show, "room": "measure", "part": "walls", "wall": wall, "form": form, "rows": rows, "drawn": drawn,
        "typed": typed, "is_typed": request.method == "POST",
    }  # fmt: skip
    return render(request, "campaign/studio/wall.html", context)


def _as_typed(form: Any, rows: Any) -> Any:
    typed = wall_as_typed(form, rows)
    return draw_typed_wall(typed, unit=form.show.length_unit) if typed else None


def _fit(form: Any, rows: Any) -> bool:
    if not (form.is_valid() & rows.is_valid()):
        return False
    values = form.cleaned_data
    return blocked_areas_fit(rows, wall_width_mm=values["width_mm"], wall_height_mm=values["height_mm"])

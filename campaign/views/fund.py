"""The room Fund: levels, publishing, closing."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.forms.fund import LandingForm, LevelRows, MendForm, level_wishes, levels_differ
from campaign.planning.errors import PlanningError
from campaign.queries.levels import level_context, list_levels, suggest_level
from campaign.queries.minimum import read_minimum
from campaign.queries.news import count_readers, list_updates
from campaign.queries.promises import check_promises, list_broken_promises
from campaign.queries.standing import read_standing
from campaign.services.campaigns import close_campaign, publish_show, set_levels
from campaign.services.plans import refresh_quick
from campaign.services.promises import move_level, promise_less
from campaign.views.rooms import is_saving, room

CLOSED = "The campaign is closed and the plan is fixed. Printing can begin."
CALLED_OFF = (
    "The minimum was missed, so the show is called off. The orders end one after another, each with its letter."
)


@room("GET")
def fund(request: HttpRequest, show: Any) -> HttpResponse:
    """The campaign at a glance, and the doors to its parts."""
    standing = read_standing(show)
    context = {
        "show": show, "room": "fund", "part": "room", "standing": standing, "readers": count_readers(show),
        "updates": list_updates(show)[:3], "broken": check_promises(standing),
    }  # fmt: skip
    return render(request, "campaign/studio/fund.html", context)


@room("GET", "POST")
def levels(request: HttpRequest, show: Any) -> HttpResponse:
    """The levels as a table, with what each would be: worked out before it is kept."""
    standing = read_standing(show)
    start, suggested = list_levels(show), _suggested(request, standing=standing)
    rows = LevelRows(
        request.POST or None, show=show, prefix="levels", initial=[*start, *([suggested] if suggested else [])]
    )
    shown = [(level["name"], level["money_minor"]) for level in start]
    if "more" in request.POST:
        rows = rows.with_more()
    elif request.method == "POST" and rows.is_valid() and levels_differ(rows):
        wishes = level_wishes(rows)
        shown = [(wish.name, wish.money_minor) for wish in wishes]
        if is_saving(request) and _keep_levels(request, show=show, wishes=wishes):
            return redirect("campaign:levels", show_code=show.code)
    context = level_context(standing, shown=shown) | {"room": "fund", "part": "levels", "rows": rows}
    context |= {"suggested": suggested, "is_preview": "preview" in request.POST}
    return render(request, "campaign/studio/levels.html", context)


def _suggested(request: HttpRequest, *, standing: Any) -> Any:
    """The row for the landing place that was asked for, if one was."""
    form = LandingForm(request.GET)
    return suggest_level(standing, money_minor=form.cleaned_data["at"]) if form.is_valid() else None


@room("POST")
def mend_level(request: HttpRequest, show: Any) -> HttpResponse:
    """Move a level to where its promise holds, or promise what it buys."""
    form = MendForm(request.POST)
    if form.is_valid():
        _mend(request, show=show, **form.cleaned_data)
    return redirect("campaign:levels", show_code=show.code)


def _mend(request: HttpRequest, *, show: Any, money_minor: int, act: str) -> None:
    broken = {one.level.money_minor: one for one in list_broken_promises(show)}.get(money_minor)
    try:
        if act == "less":
            promise_less(show=show, money_minor=money_minor)
            messages.success(request, "The level promises what its sum buys now. Look whether its words say the same.")
        elif broken and broken.move_to_minor:
            move_level(show=show, money_minor=money_minor, to_minor=broken.move_to_minor)
            messages.success(request, "The level is moved to where its promise holds.")
    except Refusal as refusal:
        messages.error(request, refusal.sentence)


def _keep_levels(request: HttpRequest, *, show: Any, wishes: Any) -> bool:
    try:
        set_levels(show=show, levels=wishes)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return False
    messages.success(request, "The levels are kept; the table says what each of them is.")
    return True


@room("POST")
def publish(request: HttpRequest, show: Any) -> HttpResponse:
    """Put the page before the public."""
    try:
        publish_show(show=show, now=timezone.now())
        messages.success(request, "The page is public. Open it once as a visitor would.")
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("campaign:fund", show_code=show.code)


@room("GET", "POST")
def close(request: HttpRequest, show: Any) -> HttpResponse:
    """What closing would fix; the POST does it."""
    if request.method == "POST":
        try:
            fixed = close_campaign(show=show, now=timezone.now())
            messages.success(request, CLOSED if fixed else CALLED_OFF)
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
        return redirect("campaign:standing", show_code=show.code)
    try:
        refresh_quick(show=show, now=timezone.now())
    except PlanningError as fault:
        messages.error(request, f"The best show cannot be worked out, so nothing can be closed yet: {fault}")
        return redirect("campaign:fund", show_code=show.code)
    standing = read_standing(show)
    minimum = read_minimum(show, in_hand_minor=standing.in_hand_minor)
    context = {"show": show, "room": "fund", "part": "close", "standing": standing, "minimum": minimum}
    return render(request, "campaign/studio/close.html", context)

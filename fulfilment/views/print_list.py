"""The print list: everything that is printed at home, and the marks of prints for the walls."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import Refusal
from campaign.measures.words import count_of
from campaign.views.rooms import workroom
from fulfilment.forms.print_list import WallPrintsForm
from fulfilment.queries.print_list import PrintList, read_print_list
from fulfilment.services.show_prints import spoil_show_prints, tick_show_prints, untick_show_prints


@workroom("GET")
def print_list(request: HttpRequest, show: Any) -> HttpResponse:
    """Prints for the walls and ordered copies, each with its size and its state."""
    return _page(request, show=show, listed=read_print_list(show))


@workroom("POST")
def mark_wall_prints(request: HttpRequest, show: Any) -> HttpResponse:
    """Mark prints for the walls as printed or spoiled, or take a mark back."""
    listed = read_print_list(show)
    form = WallPrintsForm(request.POST, keys=[line.key for line in listed.wall])
    if not form.is_valid():
        return _page(request, show=show, listed=listed, form=form)
    try:
        said = _mark(request, show=show, listed=listed, values=form.cleaned_data)
    except Refusal as refusal:
        form.add_error("ticked", refusal.sentence)
        return _page(request, show=show, listed=listed, form=form)
    messages.success(request, said)
    return redirect("fulfilment:print_list", show_code=show.code)


def _mark(request: HttpRequest, *, show: Any, listed: PrintList, values: dict[str, Any]) -> str:
    by, now = request.user.get_username(), timezone.now()
    chosen = [line.chosen for line in listed.wall if line.chosen and line.key in values["ticked"]]
    if "spoiled" in request.POST:
        key = values["request_key"] or uuid.uuid4()
        count = spoil_show_prints(show=show, chosen=chosen, note=values["note"], by=by, request_key=key, now=now)
        return f"{count_of(count, 'print')} spoiled, to be printed again."
    if "back" in request.POST:
        return f"{count_of(untick_show_prints(show=show, chosen=chosen, by=by, now=now), 'print')} back to be printed."
    return f"{count_of(tick_show_prints(show=show, chosen=chosen, by=by, now=now), 'print')} marked as printed."


def _page(request: HttpRequest, *, show: Any, listed: PrintList, form: WallPrintsForm | None = None) -> HttpResponse:
    context = {
        "show": show, "room": "print", "part": "list", "listed": listed, "faulty": form,
        "form": form or WallPrintsForm(keys=[line.key for line in listed.wall]),
    }  # fmt: skip
    return render(request, "fulfilment/print_list.html", context)

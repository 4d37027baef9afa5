"""The room Print: which copies have come out well, and the end of printing."""

import uuid
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.access import get_edition
from campaign.errors import Refusal
from campaign.measures.words import count_of
from campaign.views.rooms import ask, room, workroom
from fulfilment.forms.printing import CopiesForm
from fulfilment.queries.address_list import AddressList, read_address_list
from fulfilment.queries.production import list_unprinted, pace_of, read_sheets
from fulfilment.services.copy_events import sign_copies, spoil_copies, unsign_copies
from fulfilment.services.production import end_printing, tick_printed, untick_printed


@workroom("GET")
def print_room(request: HttpRequest, show: Any) -> HttpResponse:
    """Every edition's copies that are paid for, what is printed and what is missing."""
    return _room(request, show=show)


@workroom("POST")
def mark_copies(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Mark copies as printed, signed or spoiled, or take a mark back."""
    edition = get_edition(show=show, code=code)
    form = CopiesForm(request.POST, edition=edition)
    if not form.is_valid():
        return _room(request, show=show, faulty=form)
    try:
        said = _mark(request, edition=edition, values=form.cleaned_data, now=timezone.now())
    except Refusal as refusal:
        form.add_error("numbers", refusal.sentence)
        return _room(request, show=show, faulty=form)
    messages.success(request, said)
    return redirect("fulfilment:print", show_code=show.code)


def _mark(request: HttpRequest, *, edition: Any, values: dict[str, Any], now: datetime) -> str:
    chosen, by, asked = values["chosen"], request.user.get_username(), request.POST
    if "spoiled" in asked:
        key = values["request_key"] or uuid.uuid4()
        count = spoil_copies(edition=edition, numbers=chosen, note=values["note"], by=by, request_key=key, now=now)
        return f"{_copies(count)} spoiled, to be printed again with the same number{'' if count == 1 else 's'}."
    if "signed" in asked:
        return f"{_copies(sign_copies(edition=edition, numbers=chosen, by=by, now=now))} marked as signed."
    if "unsigned" in asked:
        return f"{_copies(unsign_copies(edition=edition, numbers=chosen, by=by, now=now))} back to be signed."
    if "back" in asked:
        return f"{_copies(untick_printed(edition=edition, numbers=chosen, by=by, now=now))} back to be printed."
    return f"{_copies(tick_printed(edition=edition, numbers=chosen, by=by, now=now))} marked as printed."


def _copies(count: int) -> str:
    return count_of(count, "copy", plural="copies")


def _room(request: HttpRequest, *, show: Any, faulty: CopiesForm | None = None) -> HttpResponse:
    sheets, unprinted = read_sheets(show), list_unprinted(show)
    today = timezone.now().astimezone(show.zone).date()
    tables = [
        (
            sheet,
            faulty if faulty and faulty.edition == sheet.edition else CopiesForm(edition=sheet.edition),
            pace_of(sheet, zone=show.zone, today=today),
        )
        for sheet in sheets
    ]
    context = {
        "show": show, "room": "print", "part": "copies", "tables": tables, "faulty": faulty, "unprinted": unprinted,
        "missing": len(unprinted),
        "printed": sum(sheet.printed for sheet in sheets), "held": sum(sheet.held for sheet in sheets),
        "late": sum(sheet.unpacked for sheet in sheets),
    }  # fmt: skip
    return render(request, "fulfilment/print.html", context)


@room("GET", "POST")
def end(request: HttpRequest, show: Any) -> HttpResponse:
    """Ask, then end printing and hand the papers to a worker."""
    back = reverse("fulfilment:print", args=[show.code])
    if request.method == "POST":
        try:
            job = end_printing(show=show, now=timezone.now())
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
            return redirect(back)
        return redirect("campaign:job", show_code=show.code, code=job.code)
    return ask(
        request,
        show=show,
        room_name="print",
        question="End printing?",
        words=(
            "From then on no backer can change an address without you: parcels are numbered, and their packing slips "
            f"and address labels are made. Orders paid later get papers of their own.{_unsure(read_address_list(show))}"
        ),
        button="End printing and make the papers",
        back=back,
    )


def _unsure(page: AddressList) -> str:
    """What to look at in the room Send before labels are made."""
    parts = []
    if page.doubtful:
        parts.append(f"{count_of(len(page.doubtful), 'address', plural='addresses')} to look at twice")
    if page.orders - page.confirmed:
        parts.append(f"{count_of(page.orders - page.confirmed, 'order')} whose backer has not said that it is right")
    return f" Before that, in the room Send under Addresses: {' and '.join(parts)}." if parts else ""

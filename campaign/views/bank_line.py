"""One line of the bank: everything that can become of it."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_bank_line, get_cash_entry, get_pledge, get_refund
from campaign.errors import Refusal
from campaign.forms.bank import OrderSearchForm, OtherLineForm, PassForm, ToOrderForm
from campaign.queries.bank import find_orders, list_owed_transfers, list_untied_like, read_open
from campaign.queries.effect import read_outlook
from campaign.services import bank_lines
from campaign.views.payment_words import payment_words
from campaign.views.rooms import room, tell_effect


@room("GET")
def bank_line(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """A line with its proposal, and the other things it can be."""
    line = get_bank_line(show=show, code=code)
    context = {"show": show, "room": "fund", "part": "bank", "line": line}
    if line.state == "open":
        context |= _choices(request, show=show, line=line)
    return render(request, "campaign/studio/bank_line.html", context)


def _choices(request: HttpRequest, *, show: Any, line: Any) -> dict[str, Any]:
    shown, search = read_open(line), OrderSearchForm(request.GET or None, show=show)
    words = search.cleaned_data["words"] if search.is_bound and search.is_valid() else None
    found = find_orders(show, words=words, sum_minor=shown.sent_minor) if words is not None else []
    came = line.amount_minor > 0
    return {
        "shown": shown, "search": search, "looked": words is not None, "came": came,
        "found": [one for one in found if shown.pledge is None or one.pk != shown.pledge.pk],
        "to_order": ToOrderForm(show=show, initial={"pledge": shown.pledge.code if shown.pledge else ""}),
        "other": OtherLineForm(show=show, came=came, initial={"text": (line.party_name or line.text)[:200]}),
        "passing": PassForm(show=show), "owed": [] if came else list_owed_transfers(show),
        "untied": list_untied_like(line),
    }  # fmt: skip


@room("POST")
def bank_to_order(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Book it as a payment for an order."""
    line, form = get_bank_line(show=show, code=code), ToOrderForm(request.POST, show=show)
    if not form.is_valid():
        messages.error(request, "Choose the order first. Nothing was booked.")
        return redirect("campaign:bank_line", show_code=show.code, code=code)
    pledge = get_pledge(show=show, code=form.cleaned_data["pledge"])

    def act() -> str:
        booking = bank_lines.book_line_to_order(
            line=line, pledge=pledge, surplus=form.cleaned_data["surplus"], now=timezone.now()
        )
        if booking is None:
            return "It was booked before; nothing has changed."
        return _with_surplus(booking, pledge=pledge, show=show, surplus=form.cleaned_data["surplus"])

    return _do(request, show=show, code=code, act=act)


def _with_surplus(booking: Any, *, pledge: Any, show: Any, surplus: str) -> str:
    if booking.kept_minor:
        return "Booked. What is too much is kept as a gift, and a mail says so."
    if surplus == "back" and booking.receipt.outcome in ("over", "owed back"):
        return "Booked. What is too much stands under the money that goes back, and a mail says so."
    return payment_words(booking.receipt, pledge=pledge, amount_minor=booking.entry.amount_minor, show=show)


@room("POST")
def bank_refund(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """It is a sum that was to go back."""
    line = get_bank_line(show=show, code=code)
    refund = get_refund(show=show, key=request.POST.get("refund", ""))

    def act() -> str:
        bank_lines.book_line_as_refund(line=line, refund=refund, now=timezone.now())
        return "Booked as given back; a mail says so to the backer."

    return _do(request, show=show, code=code, act=act)


@room("POST")
def bank_back(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Money that left went back for an order, or the bank took it back."""
    line, pledge = get_bank_line(show=show, code=code), get_pledge(show=show, code=request.POST.get("pledge", ""))

    def act() -> str:
        bank_lines.book_line_back(line=line, pledge=pledge, now=timezone.now())
        return f"Booked as gone back for the order of {pledge.name}."

    return _do(request, show=show, code=code, act=act)


@room("POST")
def bank_other(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """It belongs to no order."""
    line = get_bank_line(show=show, code=code)
    form = OtherLineForm(request.POST, show=show, came=line.amount_minor > 0)
    if not form.is_valid():
        messages.error(request, "Say what it is, and in words from whom or what for. Nothing was booked.")
        return redirect("campaign:bank_line", show_code=show.code, code=code)

    def act() -> str:
        bank_lines.book_line_as(line=line, now=timezone.now(), **form.cleaned_data)
        return "Booked."

    return _do(request, show=show, code=code, act=act)


@room("POST")
def bank_tie(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """It is in the cash book already."""
    line = get_bank_line(show=show, code=code)
    entry = get_cash_entry(show=show, key=request.POST.get("entry", ""))

    def act() -> str:
        bank_lines.tie_line(line=line, entry=entry, now=timezone.now())
        return "The line and the entry belong together now; nothing was booked again."

    return _do(request, show=show, code=code, act=act)


@room("POST")
def bank_pass(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """It is not of this campaign; or, after all, it is."""
    line, form = get_bank_line(show=show, code=code), PassForm(request.POST, show=show)

    def act() -> str:
        if "again" in request.POST:
            bank_lines.take_line_up(line=line)
            return "The line waits again."
        note = form.cleaned_data["note"] if form.is_valid() else ""
        bank_lines.pass_line(line=line, note=note, now=timezone.now())
        return "The line is passed over. It can be taken up again from its statement."

    return _do(request, show=show, code=code, act=act)


def _do(request: HttpRequest, *, show: Any, code: str, act: Callable[[], str]) -> HttpResponse:
    """Do it, say what it did and what it changed, and go back to what waits; or say why not."""
    before = read_outlook(show)
    try:
        said = act()
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("campaign:bank_line", show_code=show.code, code=code)
    messages.success(request, f"{said} {tell_effect(show, before=before)}")
    return redirect("campaign:bank", show_code=show.code)

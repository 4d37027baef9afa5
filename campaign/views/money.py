"""The cash book: its lines, its balances, other money, corrections."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_cash_entry
from campaign.errors import Refusal
from campaign.forms.money import CorrectionForm, OtherMoneyForm
from campaign.queries.cash_book import list_entries, read_cash_balances
from campaign.queries.effect import read_outlook
from campaign.services.payments import correct_entry, record_other_money
from campaign.views.rooms import room, tell_effect

PER_PAGE = 100


@room("GET")
def cash_book(request: HttpRequest, show: Any) -> HttpResponse:
    """Every line, the newest first, under what came, went and is there."""
    page = Paginator(list_entries(show), PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "show": show, "room": "fund", "part": "cash", "page": page, "balances": read_cash_balances(show),
    }  # fmt: skip
    return render(request, "campaign/studio/cash_book.html", context)


@room("GET", "POST")
def other_money(request: HttpRequest, show: Any) -> HttpResponse:
    """Own money, a sponsor, a grant, or a cost of the campaign."""
    now = timezone.now()
    form = OtherMoneyForm(request.POST or None, show=show, today=now.astimezone(show.zone).date())
    if request.method == "POST" and form.is_valid():
        before, values = read_outlook(show), dict(form.cleaned_data)
        record_other_money(show=show, key=str(values.pop("request_key")), now=now, **values)
        messages.success(request, f"Booked. {tell_effect(show, before=before)}")
        return redirect("campaign:cash_book", show_code=show.code)
    context = {"show": show, "room": "fund", "part": "cash", "form": form}
    return render(request, "campaign/studio/other_money.html", context)


@room("GET", "POST")
def correct(request: HttpRequest, show: Any, key: str) -> HttpResponse:
    """Undo a line by its mirror image; the wrong one stays readable."""
    entry = get_cash_entry(show=show, key=key)
    form = CorrectionForm(request.POST or None, is_refund=bool(entry.pledge and entry.debit == "refunds"))
    if request.method == "POST" and form.is_valid():
        before = read_outlook(show)
        try:
            correct_entry(entry=entry, now=timezone.now(), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
        else:
            messages.success(request, f"Corrected by a new line. {tell_effect(show, before=before)}")
            return redirect("campaign:cash_book", show_code=show.code)
    context = {"show": show, "room": "fund", "part": "cash", "entry": entry, "form": form}
    return render(request, "campaign/studio/correct.html", context)

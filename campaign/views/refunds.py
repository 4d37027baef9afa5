"""Money back in the studio: what is owed to whom, ticking it as sent, the list to pay, what could not be given back."""

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_pledge, get_refund
from campaign.errors import Refusal
from campaign.forms.ending import AccountForm, AllSentForm, NotGivenForm, OweForm, SentForm
from campaign.queries.refunds import list_loose, read_refunds
from campaign.references import PaymentDetailError
from campaign.services import refunds as services
from campaign.symbols import SymbolError, epc_qr_png
from campaign.views.pictures import picture_of
from campaign.views.rooms import room


@room("GET", "POST")
def refunds(request: HttpRequest, show: Any) -> HttpResponse:
    """All sums; the POST ticks several as sent."""
    page = read_refunds(show)
    now = timezone.now()
    today = now.astimezone(show.zone).date()
    keys = [refund.key for refund in page.by_hand]
    form = AllSentForm(request.POST or None, today=today, keys=keys, initial={"happened_on": today})
    if request.method == "POST" and form.is_valid():
        _settle_all(request, show=show, now=now, **form.cleaned_data)
        return redirect("campaign:refunds", show_code=show.code)
    ticked = request.POST.getlist("keys")
    context = {
        "show": show, "room": "fund", "part": "refunds", "page": page, "form": form, "ticked": ticked, "today": today,
    }  # fmt: skip
    return render(request, "campaign/studio/refunds.html", context)


def _settle_all(request: HttpRequest, *, show: Any, now: Any, happened_on: Any, keys: list[str]) -> None:
    sent = 0
    for key in keys:
        refund = get_refund(show=show, key=key)
        try:
            services.settle_refund(refund=refund, happened_on=happened_on, now=now)
            sent += 1
        except Refusal as refusal:
            messages.error(request, f"{refund.pledge.name}: {refusal.sentence}")
    if sent:
        messages.success(request, f"{sent} booked as sent; a mail tells each backer.")


@room("GET")
def payment_list(request: HttpRequest, show: Any) -> HttpResponse:
    """The transfers to make, printable, each with a payment code where banking apps can read one."""
    sums = [(refund, _code(refund, show=show)) for refund in read_refunds(show).by_hand]
    context = {"show": show, "room": "fund", "part": "refunds", "sums": sums}
    return render(request, "campaign/studio/payment_list.html", context)


def _code(refund: Any, *, show: Any) -> Any:
    if refund.way != "transfer" or not refund.iban:
        return None
    try:
        symbol = epc_qr_png(
            name=refund.account_holder or refund.pledge.name, iban=refund.iban, amount_minor=refund.amount_minor,
            currency=show.currency, text=f"{show.title}, {refund.pledge.reference}"[:140],
        )  # fmt: skip
    except (PaymentDetailError, SymbolError):
        return None
    return picture_of(symbol)


@room("GET", "POST")
def refund_sum(request: HttpRequest, show: Any, key: str) -> HttpResponse:
    """One sum: tick it as sent, whichever way it went."""
    refund = get_refund(show=show, key=key)
    now = timezone.now()
    today = now.astimezone(show.zone).date()
    way = refund.way if refund.way != "card" else "transfer"
    form = SentForm(request.POST or None, today=today, initial={"happened_on": today, "way": way})
    return _act(
        request, show=show, refund=refund, form=form, template="campaign/studio/refund_sum.html",
        act=lambda **values: services.settle_refund(refund=refund, now=now, **values),
        done="Booked as sent; a mail tells the backer.",
    )  # fmt: skip


@room("GET", "POST")
def refund_account(request: HttpRequest, show: Any, key: str) -> HttpResponse:
    """Where a sum goes: the account its backer named."""
    refund = get_refund(show=show, key=key)
    start = {"iban": refund.iban, "account_holder": refund.account_holder or refund.pledge.name}
    return _act(
        request, show=show, refund=refund, form=AccountForm(request.POST or None, initial=start),
        template="campaign/studio/refund_account.html",
        act=lambda **values: services.set_refund_account(refund=refund, **values), done="The account is kept.",
    )  # fmt: skip


@room("GET", "POST")
def not_given(request: HttpRequest, show: Any, key: str) -> HttpResponse:
    """A sum is not given back after all."""
    refund = get_refund(show=show, key=key)
    return _act(
        request, show=show, refund=refund, form=NotGivenForm(request.POST or None),
        template="campaign/studio/refund_not_given.html",
        act=lambda **values: services.call_off_refund(refund=refund, now=timezone.now(), **values),
        done="The sum is not given back; the money stays received.",
    )  # fmt: skip


def _act(
    request: HttpRequest, *, show: Any, refund: Any, form: Any, template: str, act: Callable[..., object], done: str
) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        try:
            act(**form.cleaned_data)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
        else:
            messages.success(request, done)
            return redirect("campaign:refunds", show_code=show.code)
    context = {"show": show, "room": "fund", "part": "refunds", "refund": refund, "form": form}
    return render(request, template, context)


@room("POST")
def retry_refund(request: HttpRequest, show: Any, key: str) -> HttpResponse:
    """Let the worker try a failed sum once more."""
    try:
        services.retry_refund(refund=get_refund(show=show, key=key), now=timezone.now())
        messages.success(request, "The worker tries it once more.")
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("campaign:refunds", show_code=show.code)


@room("GET", "POST")
def owe(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Write down a sum of a pledge that is to go back, by the ways it came."""
    pledge = get_pledge(show=show, code=code)
    loose = next((one for one in list_loose(show) if one.line.pledge == pledge), None)
    start = {"request_key": uuid.uuid4(), "amount_minor": loose.amount_minor if loose else None}
    form = OweForm(request.POST or None, show=show, initial=start)
    if request.method == "POST" and form.is_valid():
        values = dict(form.cleaned_data)
        try:
            services.owe_refund(pledge=pledge, key=f"asked:{values.pop('request_key')}", now=timezone.now(), **values)
            messages.success(request, "It is on the list of what goes back.")
            return redirect("campaign:refunds", show_code=show.code)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
    context = {"show": show, "room": "fund", "part": "refunds", "pledge": pledge, "loose": loose, "form": form}
    return render(request, "campaign/studio/owe.html", context)

"""Pledges in the studio: the list, one of them, money for it, money back, cancelling it."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.access import get_pledge
from campaign.errors import Refusal
from campaign.forms.fund import PledgeSearch
from campaign.forms.money import PaymentForm, RefundForm
from campaign.queries.effect import read_outlook
from campaign.queries.pledges import line_of, list_pledges, read_pledge
from campaign.queries.waiting import count_waiting
from campaign.services.bounces import write_again
from campaign.services.payments import record_payment
from campaign.services.pledges import cancel_pledge
from campaign.services.refunds import give_back
from campaign.views.payment_words import payment_words, refund_words
from campaign.views.rooms import ask, room, tell_effect

PER_PAGE = 100


@room("GET")
def pledges(request: HttpRequest, show: Any) -> HttpResponse:
    """The list, by state and by words."""
    form = PledgeSearch(request.GET or None)
    wanted = form.cleaned_data if form.is_valid() else {}
    page = Paginator(list_pledges(show, **wanted), PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "show": show, "room": "fund", "part": "pledges", "form": form, "page": page, "wanted": wanted,
        "lines": [line_of(pledge) for pledge in page], "keep": f"{urlencode(wanted)}&" if wanted else "",
        "waiting": count_waiting(show),
    }  # fmt: skip
    return render(request, "campaign/studio/pledges.html", context)


@room("GET")
def pledge(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One pledge with its copies, its money and what can be done about it."""
    found = get_pledge(show=show, code=code)
    context = {"show": show, "room": "fund", "part": "pledges", "page": read_pledge(found)}
    return render(request, "campaign/studio/pledge.html", context)


@room("GET", "POST")
def payment(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Record money that came for a pledge; the sum that is missing stands there already."""
    page = read_pledge(get_pledge(show=show, code=code))
    found, now = page.line.pledge, timezone.now()
    start = {"amount_minor": page.line.missing_minor or None, "way": found.way}
    form = PaymentForm(request.POST or None, show=show, today=now.astimezone(show.zone).date(), initial=start)

    def act(key: str, values: dict[str, Any]) -> str:
        receipt = record_payment(pledge=found, key=key, now=now, **(values | {"fee_minor": values["fee_minor"] or 0}))
        return payment_words(receipt, pledge=found, amount_minor=values["amount_minor"], show=show)

    return _money_page(request, show=show, form=form, page=page, act=act, template="campaign/studio/payment.html")


@room("GET", "POST")
def refund(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Record money that went back; the sum that is owed stands there already."""
    page = read_pledge(get_pledge(show=show, code=code))
    found, now = page.line.pledge, timezone.now()
    start = {"amount_minor": page.line.owed_back_minor or None, "way": found.way}
    form = RefundForm(request.POST or None, show=show, today=now.astimezone(show.zone).date(), initial=start)

    def act(key: str, values: dict[str, Any]) -> str:
        given = give_back(pledge=found, key=key, now=now, **values)
        return refund_words(given.amount_minor, pledge=found, show=show)

    return _money_page(request, show=show, form=form, page=page, act=act, template="campaign/studio/refund.html")


def _money_page(
    request: HttpRequest, *, show: Any, form: Any, page: Any, act: Callable[[str, dict[str, Any]], str], template: str
) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        before, values = read_outlook(show), dict(form.cleaned_data)
        try:
            said = act(str(values.pop("request_key")), values)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
        else:
            messages.success(request, f"{said} {tell_effect(show, before=before)}")
            return redirect("campaign:pledge", show_code=show.code, code=page.line.pledge.code)
    context = {"show": show, "room": "fund", "part": "pledges", "page": page, "form": form}
    return render(request, template, context)


@room("GET", "POST")
def cancel(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then cancels a pledge; its copies are free again."""
    found = get_pledge(show=show, code=code)
    back = reverse("campaign:pledge", args=[show.code, code])
    if request.method == "POST":
        try:
            cancel_pledge(pledge=found, by_backer=False, now=timezone.now())
            messages.success(request, "The order is cancelled, its copies are free again, and a mail says so.")
        except Refusal as refusal:
            messages.error(request, refusal.sentence)
        return redirect(back)
    return ask(
        request, show=show, room_name="fund", question=f"Cancel the order of {found.name}?", button="Cancel the order",
        words="Its copies go back to the edition and a mail tells the backer. Money that came is then owed back.",
        back=back,
    )  # fmt: skip


@room("POST")
def write_news_again(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """The artist knows that the address works, whatever came back from it."""
    if write_again(email=get_pledge(show=show, code=code).email, now=timezone.now()):
        messages.success(request, "News goes to this address again.")
    return redirect("campaign:pledge", show_code=show.code, code=code)

"""Paying by card: to the processor's page and back, its messages, and the studio's page about it all."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from campaign.access import get_studio
from campaign.errors import Refusal, TemporaryFailure
from campaign.processor import LONGEST_BODY, BadSignature
from campaign.queries.cards import are_cards_set_up, find_card_payment, read_card_page
from campaign.queries.my_order import read_my_order
from campaign.services.card_events import take_event
from campaign.services.card_reconciling import ask_for_reconciliation
from campaign.services.cards import begin_card_payment
from campaign.views.rooms import room
from campaign.views.visits import of_backer

LOOK_AGAIN_S = 3


@of_backer("POST")
def my_card(request: HttpRequest, pledge: Any) -> HttpResponse:
    """On to the processor's page; a page of our own says so if it could not be opened."""
    now, site = timezone.now(), settings.PUBLIC_URL
    home, back = (site + reverse(f"campaign:{name}", args=[pledge.code]) for name in ("my_pledge", "my_card_back"))
    try:
        payment = begin_card_payment(pledge=pledge, success_url=back, cancel_url=home, now=now)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("campaign:my_pledge", code=pledge.code)
    except TemporaryFailure:
        return render(request, "campaign/public/card_failed.html", _context(pledge, now=now), status=503)
    if payment.paid_at:
        return redirect("campaign:my_card_back", code=pledge.code)
    return HttpResponseRedirect(payment.pay_url)


@of_backer("GET")
def my_card_back(request: HttpRequest, pledge: Any) -> HttpResponse:
    """Where the processor sends the backer; believes nothing but the row, which a message of the processor moves."""
    payment, is_watching = find_card_payment(pledge), "still" not in request.GET
    if pledge.state != "held" or payment is None or payment.state not in ("wanted", "open"):
        return redirect("campaign:my_pledge", code=pledge.code)
    context = {**_context(pledge, now=timezone.now()), "payment": payment, "is_watching": is_watching}
    response = render(request, "campaign/public/card_back.html", context)
    if is_watching:
        response["Refresh"] = str(LOOK_AGAIN_S)  # a header needs no script, and the link with ?still turns it off
    return response


def _context(pledge: Any, *, now: Any) -> dict[str, Any]:
    mine = read_my_order(pledge, now=now)
    return {"mine": mine, "pledge": pledge, "show": pledge.show, "studio": mine.studio}


@csrf_exempt  # the processor posts here; its signature takes the place of our token
@never_cache
@require_POST
def card_messages(request: HttpRequest) -> HttpResponse:
    """
    Keep a message of the processor and say so; it is looked up and applied later.

    400 for one that is not signed by it or old, 413 for a long one. One that cannot be kept is an error of the site,
    500, so that it comes again.
    """
    if not are_cards_set_up():
        raise Http404
    body = request.read(LONGEST_BODY + 1)
    if len(body) > LONGEST_BODY:
        return HttpResponse("too long\n", status=413, content_type="text/plain")
    try:
        take_event(body=body, signature=request.headers.get("Stripe-Signature", ""), now=timezone.now())
    except BadSignature:
        return HttpResponse("not signed by the processor, or too old\n", status=400, content_type="text/plain")
    return HttpResponse("kept\n", content_type="text/plain")


@room("GET")
def card_payments(request: HttpRequest, show: Any) -> HttpResponse:
    """Payments with fee and day of the payout, disputes, and what differs from the processor's own lists."""
    page = read_card_page(show, takes_cards=get_studio().takes_cards, now=timezone.now())
    return render(request, "campaign/studio/cards.html", {"show": show, "room": "fund", "part": "cards", "page": page})


@room("POST")
def compare_cards(request: HttpRequest, show: Any) -> HttpResponse:
    """Let the worker compare our rows with the processor's lists now."""
    if are_cards_set_up():
        ask_for_reconciliation(now=timezone.now())
        messages.success(request, "The worker compares with the processor now. Look here again in a minute.")
    else:
        messages.error(request, "This installation has no keys of a card processor, so there is nothing to compare.")
    return redirect("campaign:cards", show_code=show.code)

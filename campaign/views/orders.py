"""Ordering: choose, check, place. One address, three steps of one form, no script."""

import uuid
from datetime import datetime
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from campaign import access
from campaign.errors import NotEnoughCopies, Refusal
from campaign.forms.addresses import DestinationsForm
from campaign.forms.orders import OrderForm, SendLinkForm
from campaign.queries.order_ground import find_ground, kept_grounds
from campaign.queries.order_sums import sums_of_basket
from campaign.queries.order_terms import OrderTerms, gift_terms_of, print_terms_of
from campaign.services import links, pledges
from campaign.views.limits import too_many, within_limits
from campaign.views.visits import open_visit

LINKS_PER_HOUR = 20
AGAIN = "This order was recorded the first time. Nothing was ordered twice."


@never_cache
@require_http_methods(["GET", "POST"])
def order(request: HttpRequest, show_code: str) -> HttpResponse:
    """The order form; a POST carries `step`: check, change or place."""
    now = timezone.now()
    answer = take_order(request, terms=_terms(request, show_code=show_code, now=now), now=now)
    return answer if answer.status_code == 302 else answer_again(request) or answer


def answer_again(request: HttpRequest) -> HttpResponse | None:
    """A second click, the back button, a reload: the order is there already, and so is its page."""
    known = _find_placed(request) if request.POST.get("step") == "place" else None
    if known is None:
        return None
    messages.info(request, AGAIN)
    return open_visit(known)


def take_order(request: HttpRequest, *, terms: OrderTerms, now: datetime, waiter: Any = None) -> HttpResponse:
    """The steps on these terms; with a `waiter` for what is kept for them."""
    if request.method == "GET" or not terms.can_order:
        return _page(request, terms, _empty(request, terms, waiter=waiter) if terms.can_order else None, waiter=waiter)
    form = OrderForm(request.POST, terms=terms)
    if not form.is_valid() or request.POST.get("step") == "change":
        return _page(request, terms, form, waiter=waiter)
    if request.POST.get("step") == "place" and form.cleaned_data["agreed_total_minor"] == form.total_minor:
        return _place(request, form, waiter=waiter, now=now)
    return _check_page(request, form)


def _place(request: HttpRequest, form: OrderForm, *, waiter: Any, now: datetime) -> HttpResponse:
    form.check_person()
    if not form.is_valid():
        return _page(request, form.terms, form, waiter=waiter)
    email, key = form.cleaned_data["email"], form.cleaned_data["request_key"]
    if not within_limits(request, act="order", email=email, per_network=settings.ORDERS_PER_HOUR, now=now):
        return too_many(request, now=now)
    try:
        pledge = pledges.place_pledge(
            show=form.terms.show, request_key=key, order=form.order, now=now, waiter=waiter, terms=form.terms
        )
    except NotEnoughCopies as refusal:
        return _too_few(request, form, refusal=refusal, waiter=waiter, now=now)
    except Refusal as refusal:
        form.add_error(None, refusal.sentence)
        return _page(request, form.terms, form, waiter=waiter)
    if pledge.was_there:
        messages.info(request, AGAIN)
    return open_visit(pledge)


def _too_few(
    request: HttpRequest, form: OrderForm, *, refusal: NotEnoughCopies, waiter: Any, now: datetime
) -> HttpResponse:
    """Others were quicker: the form with what is left, or, where nothing is, the way to the waiting list."""
    left = _terms(request, show_code=form.terms.show.code, now=now)
    if waiter or left.can_order:
        form.add_error(None, refusal.sentence)
        return _page(request, form.terms, form, waiter=waiter)
    messages.error(request, refusal.sentence)
    return _page(request, left, None)


def _empty(request: HttpRequest, terms: OrderTerms, *, waiter: Any) -> OrderForm:
    start: dict[str, Any] = {"source": request.GET.get("from", "")[:30]}
    if waiter:
        start |= {"name": waiter.name, "email": waiter.email}
        if not terms.friend_country:
            start |= {f"copies_{one.edition.code}": one.most for one in terms.on_sale}
    return OrderForm(terms=terms, initial=start)


def _find_placed(request: HttpRequest) -> Any:
    try:
        return access.find_pledge_by_request_key(uuid.UUID(request.POST.get("request_key", "")))
    except ValueError:
        return None


def _terms(request: HttpRequest, *, show_code: str, now: datetime) -> OrderTerms:
    # The last step looks at its rows again under the lock; whoever is still reading sees what there is now.
    find = kept_grounds.find if request.POST.get("step") == "place" else find_ground
    ground, asked = find(show_code), request.GET
    if ground is None:
        raise Http404
    if asked.get("what") == "gift":
        return gift_terms_of(ground, now=now)
    return print_terms_of(
        ground, edition_code=asked.get("edition", ""), country=asked.get("country", ""),
        friend_country=asked.get("friend", ""), now=now,
    )  # fmt: skip


def _page(request: HttpRequest, terms: OrderTerms, form: OrderForm | None, *, waiter: Any = None) -> HttpResponse:
    start = {"country": terms.country, "friend": terms.friend_country}
    country_form = DestinationsForm(initial=start, countries=terms.countries)
    context = {
        "show": terms.show, "studio": terms.studio, "terms": terms, "form": form, "country_form": country_form,
        "waiter": waiter,
    }  # fmt: skip
    return render(request, "campaign/public/order.html", context)


def _check_page(request: HttpRequest, form: OrderForm) -> HttpResponse:
    agreed = form.cleaned_data["agreed_total_minor"]
    context = {
        "show": form.terms.show,
        "studio": form.terms.studio,
        "terms": form.terms,
        "form": form,
        "order": form.order,
        "sums": sums_of_basket(form.basket),
        "friend": form.friend,
        "total_minor": form.total_minor,
        "has_changed": request.POST.get("step") == "place" and agreed is not None,
    }
    return render(request, "campaign/public/order_check.html", context)


@never_cache
@require_http_methods(["GET", "POST"])
def send_link(request: HttpRequest, show_code: str) -> HttpResponse:
    """Ask for the private link; the answer is the same whether there is an order or not."""
    show = access.get_show_for_visitor(show_code)
    form = SendLinkForm(request.POST or None)
    is_asked = False
    if form.is_valid():
        form.check_person()
    if form.is_bound and form.is_valid():
        now, email = timezone.now(), form.cleaned_data["email"]
        if not within_limits(request, act="link", email=email, per_network=LINKS_PER_HOUR, now=now):
            return too_many(request, now=now)
        links.ask_for_link(show=show, email=email, now=now)
        is_asked = True
    context = {"show": show, "studio": access.get_studio(), "form": form, "is_asked": is_asked}
    return render(request, "campaign/public/send_link.html", context)

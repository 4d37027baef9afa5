"""The waiting list: asking for a place, and the place's own page behind its private link."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from campaign import access
from campaign.errors import LinkNeeded, Refusal
from campaign.forms.waiting import WaitingForm
from campaign.queries.order_terms import read_print_terms
from campaign.queries.waiting import count_line, read_offer_terms, read_place
from campaign.services import waiting
from campaign.views.limits import too_many, within_limits
from campaign.views.orders import answer_again, take_order
from campaign.views.visits import link_needed


@never_cache
@require_http_methods(["GET", "POST"])
def waiting_list(request: HttpRequest, show_code: str, edition_code: str) -> HttpResponse:
    """Ask for a place; the answer is the same whether the address had one or not."""
    now, show = timezone.now(), access.get_show_for_visitor(show_code)
    edition = access.get_edition(show=show, code=edition_code)
    form = WaitingForm(request.POST if request.method == "POST" else None, most=edition.limit_per_person)
    is_noted = False
    if form.is_valid():
        form.check_person()
    if form.is_valid():
        email = form.cleaned_data["email"]
        if not within_limits(request, act="waiting", email=email, per_network=settings.ORDERS_PER_HOUR, now=now):
            return too_many(request, now=now)
        is_noted = _join(form, edition=edition, now=now)
    context = {"form": form, "is_noted": is_noted, "line": count_line(edition)}
    return render(request, "campaign/public/waiting.html", {**_sale(edition, now=now), **context})


def _join(form: WaitingForm, *, edition: Any, now: datetime) -> bool:
    data = form.cleaned_data
    try:
        waiting.join_list(edition=edition, name=data["name"], email=data["email"], copies=data["copies"], now=now)
    except Refusal as refusal:
        form.add_error(None, refusal.sentence)
        return False
    return True


def _sale(edition: Any, *, now: datetime) -> dict[str, Any]:
    terms = read_print_terms(show=edition.show, edition_code=edition.code, country="", now=now)
    one = next(one for one in terms.editions if one.edition.pk == edition.pk)
    return {"show": edition.show, "studio": terms.studio, "edition": edition, "terms": terms, "one": one}


def cookie_name() -> str:
    """`__Host-` binds the cookie to this host, and needs HTTPS."""
    return "__Host-place" if settings.HTTPS else "place"


def _open(waiter: Any) -> HttpResponseRedirect:
    response = redirect("campaign:my_place", code=waiter.code)
    response.set_cookie(
        cookie_name(), access.make_place_visit(waiter), max_age=access.VISIT_SECONDS, secure=settings.HTTPS,
        httponly=True, samesite="Lax",
    )  # fmt: skip
    return response


def _visited(request: HttpRequest, code: str) -> Any:
    return access.get_waiter_of_visit(code=code, visit=request.COOKIES.get(cookie_name(), ""))


@never_cache
@require_GET
def place_link(request: HttpRequest, token: str) -> HttpResponse:
    """Open the private link of a mail: half an hour on a clean address. Changes nothing: mail scanners come too."""
    return _open(access.get_waiter_by_token(token))


@never_cache
@require_GET
def my_place(request: HttpRequest, code: str) -> HttpResponse:
    """What somebody waits for, how far the line has come, and what is kept for them."""
    try:
        waiter = _visited(request, code)
    except LinkNeeded as refusal:
        return link_needed(request, refusal)
    return render(request, "campaign/public/my_place.html", _context(waiter, now=timezone.now()))


def _context(waiter: Any, *, now: datetime) -> dict[str, Any]:
    return {
        "place": read_place(waiter, now=now), "waiter": waiter, "edition": waiter.edition, "show": waiter.edition.show,
        "studio": access.get_studio(),
    }  # fmt: skip


@never_cache
@require_http_methods(["GET", "POST"])
def leave_place(request: HttpRequest, code: str) -> HttpResponse:
    """A page that asks, and a POST that leaves the line."""
    try:
        waiter = _visited(request, code)
    except LinkNeeded as refusal:
        return link_needed(request, refusal)
    if request.method == "GET":
        return render(request, "campaign/public/leave_place.html", _context(waiter, now=timezone.now()))
    if waiting.leave_list(waiter=waiter, now=timezone.now()):
        messages.success(request, "You are off the waiting list.")
    return redirect("campaign:my_place", code=code)


@never_cache
@require_POST
def ask_again(request: HttpRequest, code: str) -> HttpResponse:
    """Back to the end of the line, under a place of its own."""
    try:
        again = waiting.ask_again(waiter=_visited(request, code), now=timezone.now())
    except LinkNeeded as refusal:
        return link_needed(request, refusal)
    except Refusal as refused:
        messages.error(request, refused.sentence)
        return redirect("campaign:my_place", code=code)
    messages.success(request, "You are at the end of the line again; a mail confirms it.")
    return _open(again)


@never_cache
@require_http_methods(["GET", "POST"])
def order_kept(request: HttpRequest, code: str) -> HttpResponse:
    """The order form for what is kept for a place; where nothing is, back to the place's own page, which says so."""
    now = timezone.now()
    try:
        waiter = _visited(request, code)
    except LinkNeeded as refusal:
        return link_needed(request, refusal)
    asked = {"country": request.GET.get("country", ""), "friend_country": request.GET.get("friend", "")}
    terms = read_offer_terms(read_place(waiter, now=now), now=now, **asked)
    if not terms.on_sale:
        return answer_again(request) or redirect("campaign:my_place", code=code)
    return answer_again(request) or take_order(request, terms=terms, waiter=waiter, now=now)

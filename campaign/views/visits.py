"""The half hour in which a browser may see one order: a signed cookie, set by the private link or by ordering."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from campaign import access
from campaign.errors import LinkNeeded

View = Callable[..., HttpResponse]


def cookie_name() -> str:
    """`__Host-` binds the cookie to this host, and needs HTTPS."""
    return "__Host-pledge" if settings.HTTPS else "pledge"


def open_visit(pledge: Any) -> HttpResponseRedirect:
    """Redirect to the order's own page with the cookie that opens it."""
    response = redirect("campaign:my_pledge", code=pledge.code)
    response.set_cookie(
        cookie_name(), access.make_visit(pledge), max_age=access.VISIT_SECONDS, secure=settings.HTTPS, httponly=True,
        samesite="Lax",
    )  # fmt: skip
    return response


def get_visited(request: HttpRequest, code: str) -> Any:
    """The pledge whose page this browser may see. Raises: LinkNeeded."""
    return access.get_pledge_of_visit(code=code, visit=request.COOKIES.get(cookie_name(), ""))


def of_backer(*methods: str) -> Callable[[View], View]:
    """
    A page of one order: called with the request and the order instead of its code.

    Kept by nobody on the way; a browser without a visit to that order is told how to get one.
    """

    def decorate(view: View) -> View:
        @wraps(view)
        def inner(request: HttpRequest, code: str, **parts: Any) -> HttpResponse:
            try:
                pledge = get_visited(request, code)
            except LinkNeeded as refusal:
                return link_needed(request, refusal)
            return view(request, pledge, **parts)

        return never_cache(require_http_methods(list(methods))(inner))

    return decorate


def link_needed(request: HttpRequest, refusal: LinkNeeded) -> HttpResponse:
    """The same answer for an order that is not this browser's and for one that does not exist."""
    show = access.find_public_show()
    context = {"sentence": refusal.sentence, "show": show, "studio": access.get_studio() if show else None}
    return render(request, "campaign/public/link_needed.html", context, status=403)

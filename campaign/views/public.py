"""What everybody may read: no session, no token, no cookie, so that any cache on the way may keep it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from campaign import access
from campaign.mail import public_link
from campaign.queries.public_page import read_public_page
from campaign.symbols import qr_png
from campaign.views.pictures import picture_of

CACHING = "public, max-age=30, stale-while-revalidate=60"


def cached(response: HttpResponse) -> HttpResponse:
    response.headers["Cache-Control"] = CACHING
    return response


@require_safe
def front(request: HttpRequest) -> HttpResponse:
    """The site's front door: the show that is on, or a page that says that none is."""
    current = access.find_public_show()
    if current is None:
        return cached(render(request, "campaign/public/no_show.html"))
    return cached(redirect("campaign:show", show_code=current.code))


@require_safe
def show(request: HttpRequest, show_code: str) -> HttpResponse:
    """The page of a show."""
    page = read_public_page(access.get_show_for_visitor(show_code, with_plan=True), now=timezone.now())
    address = public_link("campaign:show", page.show.code)
    context = {
        "page": page,
        "show": page.show,
        "studio": page.studio,
        "canonical_url": address,
        "qr": picture_of(qr_png(address)),
        "source": request.GET.get("from", "")[:30],
        "social_title": f"{page.show.title}, {page.studio.artist_name}",
        "social_description": page.sentence,
    }
    return cached(render(request, "campaign/public/show.html", context))

"""News for everybody: each piece, all of it by month, the feed; and the way out of it for who gets it by mail."""

import hashlib
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from campaign import access
from campaign.feed import CONTENT_TYPE, FeedEntry, write_feed
from campaign.mail import public_link
from campaign.prose import render_markdown
from campaign.queries.news import list_months, list_published
from campaign.services import updates
from campaign.views.public import cached

IN_FEED = 50  # the newest; the archive has them all


@require_safe
def update(request: HttpRequest, show_code: str, code: str) -> HttpResponse:
    """One piece of published news."""
    found = access.get_show_for_visitor(show_code)
    news = access.get_news(show=found, code=code)
    address = public_link("campaign:update", found.code, news.code)
    context = {"show": found, "studio": access.get_studio(), "update": news, "canonical_url": address}
    return cached(render(request, "campaign/public/update.html", context))


@require_safe
def archive(request: HttpRequest, show_code: str) -> HttpResponse:
    """All published news, by month; it stays when the campaign has closed."""
    found = access.get_show_for_visitor(show_code)
    context = {
        "show": found, "studio": access.get_studio(), "months": list_months(found),
        "canonical_url": public_link("campaign:news_archive", found.code),
    }  # fmt: skip
    return cached(render(request, "campaign/public/news_archive.html", context))


@require_safe
def feed(request: HttpRequest, show_code: str) -> HttpResponseBase:
    """The same as an Atom feed; an unchanged one is answered with 304."""
    show = access.get_show_for_visitor(show_code)
    news = [_entry(show, one) for one in list_published(show)[:IN_FEED]]
    updated_at = news[0].published_at if news else show.opens_at
    body = write_feed(
        code=show.code, title=f"{show.title}: updates", author=access.get_studio().artist_name,
        address=public_link("campaign:news_feed", show.code), page=public_link("campaign:news_archive", show.code),
        updated_at=updated_at, entries=news,
    )  # fmt: skip
    etag, changed_s = f'"{hashlib.sha256(body).hexdigest()[:32]}"', int(updated_at.timestamp())
    response = cached(HttpResponse(body, content_type=CONTENT_TYPE))
    response["ETag"], response["Last-Modified"] = etag, http_date(changed_s)
    return get_conditional_response(request, etag=etag, last_modified=changed_s, response=response) or response


def _entry(show: Any, one: Any) -> FeedEntry:
    link = public_link("campaign:update", show.code, one.code)
    html = str(render_markdown(one.body, base=link))
    return FeedEntry(code=one.code, title=one.title, link=link, html=html, published_at=one.published_at)


@never_cache
@csrf_exempt  # RFC 8058: a mail program posts here, without a cookie and without our token
@require_http_methods(["GET", "POST"])
def unsubscribe(request: HttpRequest, token: str) -> HttpResponse:
    """A page that asks; a POST ends the news, from the page's button or straight from a mail program."""
    pledge = access.get_pledge_by_news_token(token)
    if request.method == "POST":
        updates.stop_news(pledge=pledge, now=timezone.now())
    return _way_out(request, show=pledge.show, waits=False)


@never_cache
@csrf_exempt  # as above
@require_http_methods(["GET", "POST"])
def unsubscribe_waiter(request: HttpRequest, token: str) -> HttpResponse:
    """The same for somebody on a waiting list, whose place in it stays."""
    waiter = access.get_waiter_by_news_token(token)
    if request.method == "POST":
        updates.stop_list_news(waiter=waiter, now=timezone.now())
    return _way_out(request, show=waiter.edition.show, waits=True)


def _way_out(request: HttpRequest, *, show: Any, waits: bool) -> HttpResponse:
    context = {"show": show, "studio": access.get_studio(), "waits": waits, "is_done": request.method == "POST"}
    return render(request, "campaign/public/unsubscribe.html", context)

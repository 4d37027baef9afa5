"""The calendar feed behind its secret link; calendar programs ask for it again and again, without signing in."""

import hashlib

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from campaign.access import get_show_by_calendar_token
from campaign.services.calendar import calendar_file


@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponseBase:
    """The dates of a show; unchanged ones are answered with 304."""
    show = get_show_by_calendar_token(token)
    body = calendar_file(show=show, now=timezone.now())
    etag = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    response.headers["ETag"] = etag
    response.headers["Cache-Control"] = "private, no-cache"  # kept by its reader only, and asked for each time
    response.headers["Content-Disposition"] = f'inline; filename="{show.code}.ics"'
    response.headers["X-Robots-Tag"] = "noindex"
    return get_conditional_response(request, etag=etag, response=response) or response

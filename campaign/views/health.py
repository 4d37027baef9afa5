"""For whoever watches over the site: is the process there, and is it able to do its work."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from campaign.queries.health import read_health


@never_cache
@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """The process answers; nothing else is asked."""
    return HttpResponse("ok\n", content_type="text/plain")


@never_cache
@require_safe
def readyz(request: HttpRequest) -> HttpResponse:
    """200 if the database answers and mail goes out, else 503; figures only, nothing about people."""
    health = read_health(now=timezone.now())
    answer = {"ready": health.is_ready, "database": health.has_database, "oldest_mail_seconds": health.oldest_mail_s}
    return JsonResponse(answer, status=200 if health.is_ready else 503)

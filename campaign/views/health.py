"""For whoever watches over the site: is the process there, can it do its work, and in figures."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from campaign.queries.health import Gauge, read_gauges, read_health


@never_cache
@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """The process answers; nothing else is asked."""
    return HttpResponse("ok\n", content_type="text/plain")


@never_cache
@require_safe
def readyz(request: HttpRequest) -> HttpResponse:
    """200 if the database answers and the work goes on, else 503; figures only, nothing about people."""
    health = read_health(now=timezone.now())
    answer = {
        "ready": health.is_ready, "database": health.has_database, "oldest_mail_seconds": health.oldest_mail_s,
        "sweep_age_seconds": health.sweep_age_s, "stuck_mails": health.stuck_mails, "free_bytes": health.free_bytes,
    }  # fmt: skip
    return JsonResponse(answer, status=200 if health.is_ready else 503)


@never_cache
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """
    The gauges in the text format of OpenMetrics' forerunner, for a reader that brings the token as a bearer.

    Without a token in the settings, or with another one, there is no such page.
    """
    said = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if not settings.METRICS_TOKEN or not constant_time_compare(said, settings.METRICS_TOKEN):
        raise Http404
    text = "".join(_lines(gauge) for gauge in read_gauges(now=timezone.now()))
    return HttpResponse(text, content_type="text/plain; version=0.0.4; charset=utf-8")


def _lines(gauge: Gauge) -> str:
    lines = [f"# HELP {gauge.name} {gauge.meaning}", f"# TYPE {gauge.name} gauge"]
    for labels, value in gauge.values:
        named = ",".join(f'{name}="{text}"' for name, text in labels)
        lines.append(f"{gauge.name}{{{named}}} {value}" if named else f"{gauge.name} {value}")
    return "\n".join(lines) + "\n"

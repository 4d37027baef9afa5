"""
Log lines without people: one JSON object a line on a host, plain lines on a laptop, and no address in either.

Addresses, IBANs, telephone numbers and the signed part of private links are masked in every line, whoever wrote it.
The line of a request names its route, never its path: the path of a private link is the key to an order.
"""

import logging
import re
import secrets
import time
from collections.abc import Callable, MutableMapping
from typing import Any

import structlog
from django.http import HttpRequest, HttpResponse

MASKED = "[removed]"
_PATTERNS = re.compile(
    r"[\w.!#$%&'*+/=?^`{|}~-]+@[\w-]+(?:\.[\w-]+)+"  # an e-mail address, as RFC 5322 lets it be written plainly
    r"|(?<=/m/)[^\s/'\"]+|(?<=/u/)[^\s/'\"]+|(?<=/calendar/)[^\s/'\"]+"  # the signed part of a link
    r"|\b[A-Z]{2}\d{2}(?: ?[A-Z0-9]{4}){2,7}(?: ?[A-Z0-9]{1,3})?\b"  # an IBAN, or a creditor reference
    r"|\b(?:sk|rk|whsec|pk)_[A-Za-z0-9_]{8,}"  # a processor's key
    r"|(?<![\w.])\+\d[\d ()/-]{6,}\d"  # a telephone number
)
log = structlog.get_logger("wallful.request")
Line = MutableMapping[str, Any]


def mask(text: str) -> str:
    """
    `text` without what would name or let in a person.

    >>> mask("mail to anna@example.org failed")
    'mail to [removed] failed'
    """
    return _PATTERNS.sub(MASKED, text)


def mask_line(logger: Any, method: str, line: Line) -> Line:
    """Mask every text of a line, tracebacks too; what structlog calls a processor."""
    for name, value in line.items():
        if not name.startswith("_"):
            line[name] = _masked(value)
    return line


def _masked(value: Any) -> Any:
    if isinstance(value, str):
        return mask(value)
    if isinstance(value, dict):
        return {mask(str(key)): _masked(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_masked(one) for one in value]
    return value if value is None or isinstance(value, (bool, int, float)) else mask(str(value))


_SHARED: list[Any] = [
    structlog.contextvars.merge_contextvars,
    structlog.stdlib.add_logger_name,
    structlog.stdlib.add_log_level,
    structlog.processors.TimeStamper(fmt="iso", utc=True),
]


def logging_settings(*, level: str, as_json: bool) -> dict[str, Any]:
    """Django's LOGGING: everything through one handler, masked last of all, so that nothing gets past it."""
    structlog.configure(
        processors=[*_SHARED, structlog.stdlib.ProcessorFormatter.wrap_for_formatter],
        logger_factory=structlog.stdlib.LoggerFactory(),
        wrapper_class=structlog.stdlib.BoundLogger,
        cache_logger_on_first_use=True,
    )
    last = structlog.processors.JSONRenderer() if as_json else structlog.processors.KeyValueRenderer(key_order=_ORDER)
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "line": {
                "()": structlog.stdlib.ProcessorFormatter,
                "foreign_pre_chain": _SHARED,
                "processors": [
                    structlog.stdlib.ProcessorFormatter.remove_processors_meta,
                    structlog.processors.format_exc_info,
                    mask_line,
                    last,
                ],
            }
        },
        "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
        "root": {"handlers": ["console"], "level": level},
        # Celery's own lines at every two-second tick would hide the rest.
        "loggers": {
            "celery": {"level": "WARNING"},
            "django.server": {"level": "WARNING"},
            "axes": {"level": "WARNING"},
            # On a laptop a line for every page would bury the few that matter.
            "wallful.request": {"level": "INFO" if as_json else "ERROR"},
            # They log the path of every answer of 400 and more, and paths hold keys; our own line names the route.
            "django.request": {"level": "ERROR"},
        },
    }


_ORDER = ["timestamp", "level", "logger", "event"]


def log_answer(*, method: str, route: str, status: int, started_s: float, **more: str) -> None:
    """The one line of a request, begun at `started_s` of the monotonic clock."""
    level = logging.INFO if status < 500 else logging.ERROR
    if log.isEnabledFor(level):
        milliseconds = round(1000 * (time.monotonic() - started_s))
        log.log(level, "answered", method=method, route=route, status=status, ms=milliseconds, **more)


class RequestLog:
    """Middleware: a number for each request, on all its lines and in its answer, and one line at its end."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        started, number = time.monotonic(), secrets.token_hex(6)
        with structlog.contextvars.bound_contextvars(request=number):
            response = self.get_response(request)
            match = request.resolver_match
            route = match.view_name if match else "none"
            response.route = route  # type: ignore[attr-defined]  # for whoever keeps the page, config.front
            log_answer(method=str(request.method), route=route, status=response.status_code, started_s=started)
        response["X-Request-Id"] = number
        return response

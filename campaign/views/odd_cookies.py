"""Cookies that no browser has from us: PostgreSQL ends in an error when a session is looked for under one with NUL."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase


class DropOddCookies:
    """Middleware: a cookie with NUL (written \\000 in quotes) is not there."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        for name in [name for name, value in request.COOKIES.items() if "\0" in value]:
            del request.COOKIES[name]
        return self.get_response(request)

"""A page for addresses that were opened in a way they are not made for: Django answers with an empty one."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render


class WrongMethodPage:
    """Middleware: gives an empty 405 answer our own words and a way back; its status and `Allow` stay."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        answer = self.get_response(request)
        if not isinstance(answer, HttpResponse) or answer.status_code != 405 or answer.content:
            return answer
        page = render(request, "405.html", status=405)
        page["Allow"] = answer["Allow"]
        return page

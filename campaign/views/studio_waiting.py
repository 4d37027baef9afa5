"""The waiting list in the studio: who waits for which print, offers running, what came of them."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.access import get_waiter
from campaign.queries.waiting import read_waiting_list
from campaign.services import waiting as service
from campaign.views.rooms import ask, room


@room("GET")
def waiting(request: HttpRequest, show: Any) -> HttpResponse:
    """The lines of all prints."""
    context = {"show": show, "room": "fund", "part": "waiting", "editions": read_waiting_list(show)}
    return render(request, "campaign/studio/waiting.html", context)


@room("GET", "POST")
def take_off_list(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Ask, then take somebody off the list."""
    waiter, back = get_waiter(show=show, code=code), reverse("campaign:waiting", args=[show.code])
    if request.method == "POST":
        if service.take_off_list(waiter=waiter, now=timezone.now()):
            messages.success(request, f"{waiter.name} is off the list; a mail says so.")
        return redirect(back)
    words = "A mail says so. What is kept for them goes to the next in line."
    question = f"Take {waiter.name or 'this person'} off the waiting list?"
    return ask(request, show=show, room_name="fund", question=question, words=words, button="Take off", back=back)

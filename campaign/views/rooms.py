"""What every page of the studio has around it: sign-in, no caching, its methods; and what every edit is followed by."""

import logging
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from campaign.access import get_show_for_artist, get_show_for_helper
from campaign.errors import Refusal
from campaign.planning.errors import PlanningError
from campaign.queries.effect import describe_effect, read_outlook
from campaign.queries.money import read_money
from campaign.services.plans import refresh_quick
from campaign.services.undo import drop_idle_step

log = logging.getLogger(__name__)
View = Callable[..., HttpResponse]


def room(*methods: str) -> Callable[[View], View]:
    """
    A view inside a show: called with the request and the show instead of its code.

    Anonymous visitors are sent to the sign-in, anyone but the artist is told that there is no such page.
    """
    return _behind(get_show_for_artist, methods)


def workroom(*methods: str) -> Callable[[View], View]:
    """The same for what helpers do as well: printing and packing, no money."""
    return _behind(get_show_for_helper, methods)


def _behind(doorway: Callable[[Any, str], Any], methods: tuple[str, ...]) -> Callable[[View], View]:
    def decorate(view: View) -> View:
        @wraps(view)
        def inner(request: HttpRequest, show_code: str, **parts: Any) -> HttpResponse:
            return view(request, doorway(request.user, show_code), **parts)

        return never_cache(login_required(require_http_methods(list(methods))(inner)))

    return decorate


def is_saving(request: HttpRequest) -> bool:
    """True for a submit that asks for the real thing: not for more rows, a preview or a trial run of the sums."""
    return request.method == "POST" and not {"more", "preview"} & set(request.POST)


def apply_edit(request: HttpRequest, *, show: Any, form: Any, act: Callable[[], object], done: str = "Saved.") -> bool:
    """
    Do an edit, work the best shows out again, and tell the artist what it changed, after the word `done`.

    False if a rule said no; its sentence then stands on `form` (a form, or None for a message on the next page).
    """
    before = read_outlook(show)
    try:
        act()
    except Refusal as refusal:
        if form is None:
            messages.error(request, refusal.sentence)
        else:
            form.add_error(None, refusal.sentence)
        return False
    try:
        show.refresh_from_db()
        money = read_money(show)
        run = refresh_quick(show=show, now=timezone.now(), money=money)
    except PlanningError:
        log.exception("no staircase for show %s after an edit", show.code)
        messages.warning(
            request, f"{done} The best shows cannot be worked out from it, though; they stay as they were."
        )
        return True
    if before is None or run.pk == before.run:  # another staircase means that the edit did change something
        drop_idle_step(show)
    messages.success(request, f"{done} {_effect(show, before=before, after=read_outlook(show, run=run, money=money))}")
    return True


def tell_effect(show: Any, *, before: Any) -> str:
    """What has changed since `before`, as a sentence with a capital."""
    show.refresh_from_db()
    return _effect(show, before=before, after=read_outlook(show))


def _effect(show: Any, *, before: Any, after: Any) -> str:
    sentence = describe_effect(show, before=before, after=after)
    return sentence[:1].upper() + sentence[1:]


def ask(
    request: HttpRequest, *, show: Any, room_name: str, question: str, words: str, button: str, back: str
) -> HttpResponse:
    """A page that asks before something is done; its button posts to the same address."""
    context = {"show": show, "room": room_name, "question": question, "words": words, "button": button, "back": back}
    return render(request, "campaign/studio/ask.html", context)

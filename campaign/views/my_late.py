"""A backer's answer to a notice that posting is late; the two buttons stand on the page of the order."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from campaign.errors import LinkNeeded, Refusal
from campaign.forms.late import AnswerForm
from campaign.services.late_notices import answer_late_notice
from campaign.views.visits import get_visited, link_needed

SAID = {
    "wait": "Taken down: you wait. Until it is posted you may still cancel.",
    "cancel": "The order is cancelled; a mail confirms it.",
}


@never_cache
@require_http_methods(["GET", "POST"])
def my_late(request: HttpRequest, code: str) -> HttpResponse:
    """A POST answers; a GET changes nothing and leads to the order."""
    try:
        pledge = get_visited(request, code)
    except LinkNeeded as refusal:
        return link_needed(request, refusal)
    form = AnswerForm(request.POST)
    if request.method == "POST" and form.is_valid():
        try:
            answer_late_notice(pledge=pledge, now=timezone.now(), **form.cleaned_data)
            messages.success(request, SAID[form.cleaned_data["word"]])
        except Refusal as refused:
            messages.error(request, refused.sentence)
    return redirect("campaign:my_pledge", code=code)

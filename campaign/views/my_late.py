"""A backer's answer to a notice that posting is late; the two buttons stand on the page of the order."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from campaign.errors import Refusal
from campaign.forms.late import AnswerForm
from campaign.services.late_notices import answer_late_notice
from campaign.views.visits import of_backer

SAID = {
    "wait": "Taken down: you wait. Until it is posted you may still cancel.",
    "cancel": "The order is cancelled; a mail confirms it.",
}


@of_backer("GET", "POST")
def my_late(request: HttpRequest, pledge: Any) -> HttpResponse:
    """A POST answers; a GET changes nothing and leads to the order."""
    form = AnswerForm(request.POST)
    if request.method == "POST" and form.is_valid():
        try:
            answer_late_notice(pledge=pledge, now=timezone.now(), **form.cleaned_data)
            messages.success(request, SAID[form.cleaned_data["word"]])
        except Refusal as refused:
            messages.error(request, refused.sentence)
    return redirect("campaign:my_pledge", code=pledge.code)

"""Withdrawing from the contract on the page of an order: a page that asks, a POST that declares."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_studio
from campaign.errors import Refusal
from campaign.queries.withdrawal import WORDS, read_withdrawal
from campaign.services.withdrawals import declare_withdrawal
from campaign.views.visits import of_backer


@of_backer("GET", "POST")
def my_withdrawal(request: HttpRequest, pledge: Any) -> HttpResponse:
    """A GET shows the statement and changes nothing; the POST makes it."""
    if request.method == "POST":
        try:
            declare_withdrawal(pledge=pledge, now=timezone.now())
            messages.success(request, "Your withdrawal is received; a mail confirms it.")
        except Refusal as refused:
            messages.error(request, refused.sentence)
        return redirect("campaign:my_pledge", code=pledge.code)
    context = {"pledge": pledge, "show": pledge.show, "studio": get_studio(), "words": WORDS}
    return render(request, "campaign/public/my_withdrawal.html", {**context, "withdrawal": read_withdrawal(pledge)})

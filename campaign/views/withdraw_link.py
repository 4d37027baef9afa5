"""Withdrawing the private link of an order: somebody else may have it, or it went to a wrong address."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_pledge
from campaign.forms.withdraw_link import WithdrawForm
from campaign.services import links
from campaign.views.rooms import room


@room("GET", "POST")
def withdraw_link(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then withdraws it, and sends a new one if that is ticked."""
    pledge = get_pledge(show=show, code=code)
    typed = request.POST if request.method == "POST" else None
    form = WithdrawForm(typed, initial={"version": pledge.link_version})
    if form.is_bound and form.is_valid():
        is_new = links.withdraw_link(pledge=pledge, now=timezone.now(), **form.cleaned_data)
        sent = " A new one is on its way." if form.cleaned_data["sends_new"] and pledge.email else ""
        said = f"The link is withdrawn; what it opened is closed.{sent}"
        messages.success(request, said if is_new else "That link was withdrawn before; nothing has changed.")
        return redirect("campaign:pledge", show_code=show.code, code=code)
    context = {"show": show, "room": "fund", "part": "pledges", "pledge": pledge, "form": form}
    return render(request, "campaign/studio/withdraw_link.html", context)

"""A backer's e-mail address, corrected. In this app because parcels hold it too."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_pledge
from campaign.errors import Refusal
from campaign.queries.pledges import read_pledge
from campaign.views.rooms import room
from fulfilment.forms.contact import EmailForm
from fulfilment.services.contact import correct_email


@room("GET", "POST")
def email(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Another address for everything about an order; says what becomes of links that are out there."""
    found = get_pledge(show=show, code=code)
    form = EmailForm(request.POST or None, initial={"email": found.email})
    if form.is_bound and form.is_valid():
        try:
            is_new = correct_email(pledge=found, now=timezone.now(), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error("email", refusal.sentence)
        else:
            messages.success(request, _said(form.cleaned_data["email"], is_new=is_new))
            return redirect("campaign:pledge", show_code=show.code, code=code)
    context = {"show": show, "room": "fund", "part": "pledges", "page": read_pledge(found), "form": form}
    return render(request, "fulfilment/correct_email.html", context)


def _said(email: str, *, is_new: bool) -> str:
    return f"Mail goes to {email} from now on; one with a new private link is on its way." if is_new else "As it was."

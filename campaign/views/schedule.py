"""The days of the show: the schedule, closed days, steps that are done, and the calendar's secret link."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.access import make_calendar_token
from campaign.forms.schedule import ClosedRows, StepsForm, closed_wishes
from campaign.queries.schedule import closed_rows, list_holidays, read_schedule_page, step_start
from campaign.services.calendar import renew_calendar_link
from campaign.services.schedule import set_closed_days, set_steps
from campaign.views.rooms import apply_edit, ask, is_saving, room


@room("GET")
def schedule(request: HttpRequest, show: Any) -> HttpResponse:
    """The dates backwards from the opening and forwards from today; `?for=` says for how large a show."""
    page = read_schedule_page(show, now=timezone.now(), basis=request.GET.get("for", ""))
    link = request.build_absolute_uri(reverse("campaign:calendar", args=[make_calendar_token(show)]))
    context = {"show": show, "room": "measure", "part": "schedule", "page": page, "calendar_link": link}
    return render(request, "campaign/studio/schedule.html", context)


@room("GET", "POST")
def closed_days(request: HttpRequest, show: Any) -> HttpResponse:
    """The artist's closed days in one table."""
    rows = ClosedRows(request.POST or None, show=show, prefix="closed", initial=closed_rows(show))
    if "more" in request.POST:
        rows = rows.with_more()
    elif is_saving(request) and rows.is_valid():
        wishes = closed_wishes(rows)
        if apply_edit(request, show=show, form=None, act=lambda: set_closed_days(show=show, wishes=wishes)):
            return redirect("campaign:schedule", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "schedule", "rows": rows, "holidays": list_holidays(show)}
    return render(request, "campaign/studio/closed_days.html", context)


@room("GET", "POST")
def steps(request: HttpRequest, show: Any) -> HttpResponse:
    """Which steps are begun and which are done."""
    today_on = timezone.now().astimezone(show.zone).date()
    form = StepsForm(request.POST or None, show=show, today_on=today_on, initial=step_start(show))
    if request.method == "POST" and form.is_valid():
        set_steps(show=show, steps=form.wishes)
        messages.success(request, "Saved. The days are reckoned from what is done.")
        return redirect("campaign:schedule", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "schedule", "form": form}
    return render(request, "campaign/studio/schedule_steps.html", context)


@room("GET", "POST")
def renew_link(request: HttpRequest, show: Any) -> HttpResponse:
    """Asks, then makes the calendar's old link useless."""
    back = reverse("campaign:schedule", args=[show.code])
    if request.method == "POST":
        renew_calendar_link(show=show)
        messages.success(request, "The old calendar link is dead. The new one stands below the table.")
        return redirect(back)
    return ask(
        request, show=show, room_name="measure", question="Withdraw the calendar's link?", button="Withdraw it",
        words="Calendars that read the old link get nothing more. A new link stands on the page afterwards.", back=back,
    )  # fmt: skip

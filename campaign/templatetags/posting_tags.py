"""The advice on the stated posting date, wherever it is set or published."""

from typing import Any

from django import template
from django.utils import timezone

from campaign.planning.days.posting import advise_posting
from campaign.planning.days.schedule import Schedule
from campaign.queries.posting import read_posting_advice

register = template.Library()


@register.inclusion_tag("campaign/studio/posting_advice.html")
def posting_advice(show: Any, *, schedule: Schedule | None = None, only_warn: bool = False) -> dict[str, Any]:
    """`{% posting_advice show %}`: what date to state and why; nothing where no print is posted."""
    if schedule is None:
        advice = read_posting_advice(show, today_on=timezone.now().astimezone(show.zone).date())
    else:
        posting = schedule.find("posting")
        advice = advise_posting(planned_on=posting.last_on, stated_on=show.posting_by_on) if posting else None
    return {"advice": advice, "only_warn": only_warn, "show": show}

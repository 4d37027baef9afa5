"""Late posting, wherever it has to be said: in the studio, on the page of an order, on the public page."""

from datetime import date
from typing import Any

from django import template
from django.utils import timezone

from campaign.queries.late import LateOrder, LateWarning, has_no_day, posting_day, read_late_order, warn_of_late
from campaign.queries.withdrawal import Withdrawal, read_withdrawal

register = template.Library()


@register.inclusion_tag("campaign/studio/late_warning.html")
def late_warning(show: Any) -> dict[str, LateWarning | Any | None]:
    """`{% late_warning show %}`: a stated posting date comes near, or is past, and nobody has been told."""
    return {"warning": warn_of_late(show, now=timezone.now()), "show": show}


@register.simple_tag
def late_order(pledge: Any) -> LateOrder | None:
    """`{% late_order pledge as late %}`: what this order was told of a delay; None where it was told nothing."""
    order = read_late_order(pledge)
    return order if order.told else None


@register.simple_tag
def withdrawal_of(pledge: Any) -> Withdrawal:
    """`{% withdrawal_of pledge as withdrawal %}`: whether the backer may withdraw here, or has."""
    return read_withdrawal(pledge)


@register.simple_tag
def posted_by(pledge: Any) -> date | None:
    """`{% posted_by pledge as on %}`: the day its backer knows of; None where no day can be given now."""
    return posting_day(pledge)


@register.simple_tag
def is_without_day(show: Any) -> bool:
    """`{% is_without_day show as is_late %}`: the newest notice said that no posting day can be given."""
    return has_no_day(show)

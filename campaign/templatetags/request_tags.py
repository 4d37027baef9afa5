"""That somebody asked for a change, for the pages an artist looks at first."""

from typing import Any

from django import template

from campaign.queries.change_requests import count_waiting, list_requests_of

register = template.Library()


@register.simple_tag
def waiting_requests(show: Any) -> int:
    """`{% waiting_requests show as waiting %}`: how many wait for an answer."""
    return count_waiting(show)


@register.simple_tag
def requests_of(pledge: Any) -> list[Any]:
    """`{% requests_of pledge as requests %}`: what its backer asked for, the oldest first."""
    return list_requests_of(pledge)

"""How the schedule's days are written."""

from datetime import date
from typing import Any

from django import template

from campaign.drawing.schedule import note_of

register = template.Library()


@register.filter
def short_day(on: date) -> str:
    """`{{ monday|short_day }}`: 4 May."""
    return f"{on:%-d %b}"


@register.filter
def span(first_on: date, last_on: date) -> str:
    """`{{ first|span:last }}`: Mon 4 May, or Mon 4 – Fri 8 May."""
    if first_on == last_on:
        return f"{first_on:%a %-d %b}"
    month = "" if (first_on.year, first_on.month) == (last_on.year, last_on.month) else f" {first_on:%b}"
    return f"{first_on:%a %-d}{month} – {last_on:%a %-d %b}"


@register.filter
def standing_words(item: Any) -> str:
    """How an item of the schedule stands, as the drawing says it."""
    return note_of(item)

"""How lengths of roll and cuts are written; words only, no rule."""

from datetime import date
from fractions import Fraction

from django import template

from campaign.forms.fields import plain_number
from campaign.measures.lengths import MM_PER_INCH

register = template.Library()


@register.filter
def roll_length(mm: int, unit: str) -> str:
    """`{{ stock.there_mm|roll_length:show.length_unit }}`: 3.42 m; in feet where the show measures in inches."""
    per_unit, name = (12 * MM_PER_INCH, "ft") if unit == "in" else (Fraction(1000), "m")
    return f"{plain_number(Fraction(round(mm / per_unit * 100), 100))} {name}"


@register.filter
def duration(seconds: int) -> str:
    """
    `{{ day.seconds|duration }}`: 3 h 20 min; begun minutes count whole.

    >>> duration(12_000), duration(61), duration(7_200), duration(0)
    ('3 h 20 min', '2 min', '2 h', '0 min')
    """
    hours, minutes = divmod(-(-seconds // 60), 60)
    parts = [f"{hours} h"] * bool(hours) + [f"{minutes} min"] * bool(minutes or not hours)
    return " ".join(parts)


@register.filter
def day_with_name(on: date) -> str:
    """`{{ day.on|day_with_name }}`: Monday, 9 March 2026."""
    return f"{on:%A, %-d %B %Y}"

"""How lengths of roll and cuts are written; words only, no rule."""

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

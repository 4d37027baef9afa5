"""How the studio's own figures are written: print sizes, printer time, what a price is for."""

from typing import Any

from django import template

from campaign.measures.lengths import format_size
from campaign.queries.last_step import Step, find_step

register = template.Library()
UNIT_WORDS = {"piece": "piece", "m": "m", "m2": "m²", "ml": "ml", "minute": "minute"}


@register.filter
def print_size(thing: Any, unit: str) -> str:
    """`{{ work|print_size:show.length_unit }}`: the size of the print alone: 60 × 45 cm."""
    option = getattr(thing, "option", thing)
    return format_size(option.print_width_mm, option.print_height_mm, unit=unit)


@register.simple_tag
def last_step(show: Any) -> Step | None:
    """`{% last_step show as step %}`: the last step of Measure, if it can be taken back."""
    return find_step(show)


@register.filter
def hours(seconds: int) -> str:
    """Printer time as people say it: 55 h 30 min."""
    whole, minutes = divmod(max(0, seconds) // 60, 60)
    return f"{whole} h {minutes} min" if minutes else f"{whole} h"


@register.filter
def price_unit(item: Any) -> str:
    """What a price is for: "1 m", "100 pieces", "10 m²"; "a pack of 25 pieces"."""
    pack = "a pack of " if item.is_sold_in_packs else ""
    return pack + of_unit(item.per_milli, item.unit)


@register.filter
def of_unit(quantity_milli: int, unit: str) -> str:
    """`{{ line.there_milli|of_unit:line.item.unit }}`: a quantity with its unit: "4.5 m", "12 pieces"."""
    count = f"{quantity_milli / 1000:.3f}".rstrip("0").rstrip(".")
    plural = "s" if unit in ("piece", "minute") and count != "1" else ""
    return f"{count} {UNIT_WORDS[unit]}{plural}"


@register.filter
def finish_names(item: Any) -> str:
    """The finishes whose recipes need an entry of the price book."""
    return ", ".join(dict.fromkeys(line.finish.name for line in item.recipe_lines.all())) or "nothing"

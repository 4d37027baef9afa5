"""How sizes of mailers and parcels, thickness and the price of an SDR are written; words only."""

from fractions import Fraction
from typing import Any

from django import template

from campaign.forms.fields import plain_number
from campaign.measures.lengths import format_length
from campaign.measures.money import currency_digits
from fulfilment.forms.packing_material import plain_rate

register = template.Library()


def _size(sides: tuple[int, int, int], *, is_tube: bool, unit: str) -> str:
    length, width, depth = (format_length(side, unit=unit) for side in sides)
    if is_tube:
        return f"tube {length} long, {width} across"
    bare = [side.removesuffix(f" {unit}") for side in (length, width)]
    return f"{bare[0]} × {bare[1]} × {depth}"


@register.filter
def room_inside(mailer: Any, unit: str) -> str:
    """`{{ mailer|room_inside:show.length_unit }}`: 33 × 24 × 0.8 cm, or: tube 64 cm long, 10 cm across."""
    sides = (mailer.inner_length_mm, mailer.inner_width_mm, mailer.inner_depth_mm)
    return _size(sides, is_tube=mailer.is_tube, unit=unit)


@register.filter
def outer_size(thing: Any, unit: str) -> str:
    """The same of the outside of a mailer or parcel; "not known" where no size is."""
    sides = (thing.outer_length_mm, thing.outer_width_mm, thing.outer_depth_mm)
    return _size(sides, is_tube=thing.is_tube, unit=unit) if thing.outer_length_mm else "not known"


@register.filter
def thickness(um: int) -> str:
    """`{{ facts.thickness_um|thickness }}`: 0.45 mm."""
    return f"{plain_number(Fraction(um, 1000))} mm"


@register.filter
def sdr(milli: int, show: Any) -> str:
    """`{{ facts.sdr_milli|sdr:show }}`: 1.2435 EUR."""
    return f"{plain_rate(Fraction(milli, 1_000 * 10 ** currency_digits(show.currency)))} {show.currency}"

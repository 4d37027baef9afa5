"""How figures, moments and addresses are written on pages, mails and papers; words only, no rule."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import forms, template
from django.utils import timezone
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from campaign.addresses import country_in_sentence, country_name, format_postal_lines
from campaign.measures.lengths import format_length, format_sixteenths, format_size
from campaign.measures.money import currency_digits, format_minor, format_round
from campaign.measures.weights import format_pounds, format_weight
from campaign.measures.words import spell
from campaign.prose import render_markdown
from campaign.references import format_iban, format_reference

register = template.Library()


@register.filter
def money(minor: int, show: Any) -> str:
    """`{{ minor|money:show }}`, or `|money:"EUR"` for an amount that belongs to no show: €12.50."""
    if isinstance(show, str):
        return format_minor(minor, currency=show)
    return format_minor(minor, currency=show.currency, locale=show.locale)


@register.filter
def money_round(minor: int, show: Any) -> str:
    """`{{ tick.money_minor|money_round:show }}`: €500, with decimals only where they are not zero."""
    return format_round(minor, currency=show.currency, locale=show.locale)


@register.filter
def decimal(minor: int, show: Any) -> str:
    """`{{ minor|decimal:show }}`: the bare amount for machines to read, 12.50."""
    return str(Decimal(minor).scaleb(-currency_digits(show.currency)))


@register.filter
def length(thing: Any, unit: str = "") -> str | int:
    """`{{ wall.width_mm|length:show.length_unit }}`: 620 cm. Without a unit Django's own filter, which counts."""
    return format_length(thing, unit=unit) if unit else len(thing)


@register.filter
def size(thing: Any, unit: str) -> str:
    """`{{ edition|size:show.length_unit }}` of anything with width_mm and height_mm: 60 × 45 cm."""
    return format_size(thing.width_mm, thing.height_mm, unit=unit)


@register.filter(is_safe=True)
def foldable(address: str) -> str:
    """`{{ url|foldable }}`: the address with a place to begin a new line after each stroke, for narrow columns."""
    return mark_safe(escape(address).replace("/", "/<wbr>"))  # noqa: S308 - escaped just before


@register.filter
def weight(g: int) -> str:
    """`{{ mass_g|weight }}`: 1.4 kg."""
    return format_weight(g)


@register.filter
def pounds(g: int) -> str:
    """`{{ mass_g|pounds }}`: 3 lb 1 oz."""
    return format_pounds(g)


@register.filter
def tape(mm: int, unit: str) -> str:
    """`{{ work.left_mm|tape:"in" }}`: 48 11/16 in, as a tape shows it; in cm and mm as `length`."""
    return f"{format_sixteenths(mm)} in" if unit == "in" else format_length(mm, unit=unit)


@register.filter
def tape_size(thing: Any, unit: str) -> str:
    """`size`, as a tape shows it: 24 × 36 1/2 in."""
    if unit != "in":
        return size(thing, unit)
    return f"{format_sixteenths(thing.width_mm)} × {format_sixteenths(thing.height_mm)} in"


@register.filter
def tape_places(hooks: Any, unit: str) -> str:
    """`{{ work.hooks|tape_places:show.length_unit }}`: places from the left as a tape shows them, 54.2 and 81.2 cm."""
    return " and ".join(tape(hook.x_mm, unit).removesuffix(f" {unit}") for hook in hooks) + f" {unit}"


@register.filter
def moment(instant: datetime, show: Any) -> str:
    """`{{ show.closes_at|moment:show }}`: an instant in the show's own time zone: 15 May 2026, 18:00 CEST."""
    local = timezone.localtime(instant, show.zone)
    name = local.tzname() or ""
    zone = name if name[:1].isalpha() else f"UTC{name}"
    return f"{local:%-d %B %Y, %H:%M} {zone}"


@register.filter
def day(on: date | datetime, show: Any = None) -> str:
    """`{{ show.posting_by_on|day }}`, or `{{ instant|day:show }}` in the show's own time zone: 31 July 2026."""
    if isinstance(on, datetime) and show is not None:
        on = timezone.localtime(on, show.zone)
    return f"{on:%-d %B %Y}"


@register.filter
def spelled(count: int) -> str:
    """A count up to twelve as a word, for sentences: seven."""
    return spell(count)


@register.filter
def listed(things: Sequence[object]) -> str:
    """`{{ numbers|listed }}`: 3, 7 and 12. Django's `join` gives up on numbers where nothing is escaped."""
    *first, last = [str(thing) for thing in things] or [""]
    return f"{', '.join(first)} and {last}" if first else last


@register.filter
def percent(bp: int) -> str:
    """Hundredths of a per cent as people write them: 3000 is 30 %, 250 is 2.5 %."""
    whole, rest = divmod(bp, 100)
    return f"{whole}.{rest:02d}".rstrip("0").rstrip(".") + " %"


@register.filter
def country(code: str) -> str:
    """`{{ "GB"|country }}`: United Kingdom."""
    return country_name(code)


@register.filter
def to_country(code: str) -> str:
    """`to {{ "GB"|to_country }}`: the United Kingdom, with the article a sentence needs."""
    return country_in_sentence(code)


@register.filter
def reference(code: str) -> str:
    """A payment reference in groups of four."""
    return format_reference(code)


@register.filter
def iban(number: str) -> str:
    """An account number in groups of four."""
    return format_iban(number)


@register.filter
def markdown(text: str) -> SafeString:
    """The artist's Markdown as safe HTML, to stand in a div.prose."""
    return render_markdown(text)


@register.simple_tag
def postal_lines(pledge: Any, sender_country: str) -> list[str]:
    """`{% postal_lines pledge show.country as lines %}`: the label's lines; none without an address."""
    address: Mapping[str, str] = pledge.address
    if not address.get("country_code"):
        return []
    return list(format_postal_lines({**address, "name": pledge.name}, sender_country=sender_country))


@register.inclusion_tag("campaign/error_summary.html")
def error_summary(*bound: Any) -> dict[str, Any]:
    """
    `{% error_summary form rows %}`, forms, formsets or lists of forms: what is wrong, at the top, with a link to each
    field. Where forms have the same fields, `place` of a form says which one is meant.
    """
    faults: list[tuple[str, str, str]] = []
    for form in (one for item in bound for one in _forms_of(item)):
        # In the order of the page, whatever was checked first; what concerns the form as a whole comes before all.
        for name in (name for name in ("__all__", *form.fields) if name in form.errors):
            messages = form.errors[name]
            field_id, label = _field_words(form, name)
            label = f"{form.place}: {label}" if label and hasattr(form, "place") else label
            faults.extend((field_id, label, message) for message in messages)
    return {"faults": faults}


def _forms_of(item: Any) -> Any:
    if isinstance(item, forms.BaseFormSet):
        return item.forms
    return item if isinstance(item, list) else [item]


def _field_words(form: forms.BaseForm, name: str) -> tuple[str, str]:
    """The id to jump to and the label of a field; two empty strings for what concerns the form as a whole."""
    if name not in form.fields:
        return "", ""
    field = form[name]
    # A group of radio buttons has no id of its own: its first button is the one to go to.
    return field.id_for_label or f"{field.auto_id}_0", str(field.label)

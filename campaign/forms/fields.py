"""Form fields that read amounts, lengths, percentages and dates as people type them. Not for addresses."""

from abc import ABC, abstractmethod
from datetime import UTC, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from babel.numbers import get_decimal_symbol
from django import forms
from django.core.exceptions import ValidationError
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from campaign.measures.errors import MeasureError
from campaign.measures.lengths import format_length, format_size, parse_length_mm, parse_size_mm
from campaign.measures.limits import LONGEST_SECONDS, whole_milli
from campaign.measures.money import LARGEST_MINOR, currency_digits, parse_minor
from campaign.measures.numbers import parse_count, parse_date, parse_decimal, parse_percent_bp
from campaign.measures.weights import format_weight, parse_weight_g

YEARS = range(1900, 2201)  # of any other year a digit is mistyped; a show folder reads days alike


class MeasureField(forms.CharField, ABC):
    """Text read by a function of `campaign.measures`; the value is in our own units, None when left empty."""

    show: Any = None  # the show whose currency and length unit hold; see `ShowForm`

    def __init__(self, *, placeholder: str = "", **kwargs: Any) -> None:
        attrs = {"autocomplete": "off", **({"placeholder": placeholder} if placeholder else {})}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        super().__init__(**kwargs)

    @abstractmethod
    def read(self, text: str) -> Any:
        """The value of `text`. Raises: MeasureError."""

    @abstractmethod
    def write(self, value: Any) -> str:
        """The text that `read` turns back into `value`."""

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if not text:
            return None
        try:
            return self.read(text)
        except MeasureError as error:
            raise ValidationError(str(error)) from error

    def validate(self, value: Any) -> None:
        if value is None and self.required:
            raise ValidationError(self.error_messages["required"], code="required")

    def prepare_value(self, value: Any) -> Any:
        """What stands in the field: text as it was typed, our own values as people write them."""
        return value if value is None or isinstance(value, str) else self.write(value)


class MoneyField(MeasureField):
    """An amount in the show's currency, as minor units; `at_least` 1 refuses nothing, `at_most` what is larger."""

    def __init__(self, *, at_least: int = 0, at_most: int = LARGEST_MINOR, currency: str = "", **kwargs: Any) -> None:
        self.at_least, self.at_most, self.currency = at_least, at_most, currency
        super().__init__(**kwargs)

    def read(self, text: str) -> int:
        minor = parse_minor(text, currency=self.currency or self.show.currency)
        if minor < self.at_least:
            raise MeasureError(text, "an amount of more than nothing")
        if minor > self.at_most:
            raise MeasureError(text, f"at most {self.write(self.at_most)}", reason="which is too large")
        return minor

    def write(self, value: int) -> str:
        digits = currency_digits(self.currency or self.show.currency)
        mark = get_decimal_symbol(self.show.locale.replace("-", "_")) if self.show else "."
        return str(Decimal(value).scaleb(-digits)).replace(".", mark)


class LengthField(MeasureField):
    """A length as whole millimetres; a bare number is in the show's own unit."""

    def __init__(self, *, allow_zero: bool = False, **kwargs: Any) -> None:
        self.allow_zero = allow_zero
        super().__init__(**kwargs)

    def read(self, text: str) -> int:
        return parse_length_mm(text, default_unit=self.show.length_unit, allow_zero=self.allow_zero)

    def write(self, value: int) -> str:
        return format_length(value, unit=self.show.length_unit)


class SizeField(MeasureField):
    """Width and height as a pair of whole millimetres: 60 × 40 cm, 24x36", A3."""

    def read(self, text: str) -> tuple[int, int]:
        return parse_size_mm(text, default_unit=self.show.length_unit)

    def write(self, value: tuple[int, int]) -> str:
        return format_size(*value, unit=self.show.length_unit)


class WeightField(MeasureField):
    """A weight as whole grams, zero included."""

    def read(self, text: str) -> int:
        return parse_weight_g(text, allow_zero=True)

    def write(self, value: int) -> str:
        return format_weight(value)


class PercentField(MeasureField):
    """A percentage as basis points (hundredths of one per cent), at most `most_bp`."""

    def __init__(self, *, most_bp: int = 10_000, **kwargs: Any) -> None:
        self.most_bp = most_bp
        super().__init__(**kwargs)

    def read(self, text: str) -> int:
        value = parse_percent_bp(text)
        if value > self.most_bp:
            raise MeasureError(text, f"at most {plain_number(Fraction(self.most_bp, 100))} %")
        return value

    def write(self, value: int) -> str:
        return f"{plain_number(Fraction(value, 100))} %"


class CountField(MeasureField):
    """A whole number from `least` to `most`."""

    def __init__(self, *, least: int = 0, most: int = 999_999, **kwargs: Any) -> None:
        self.least, self.most = least, most
        super().__init__(**kwargs)
        self.widget.attrs["inputmode"] = "numeric"

    def read(self, text: str) -> int:
        value = parse_count(text)
        if not self.least <= value <= self.most:
            raise MeasureError(text, f"a whole number from {self.least} to {self.most:,}")
        return value

    def write(self, value: int) -> str:
        return str(value)


class QuantityField(MeasureField):
    """How much of something, as whole thousandths; at most three decimals."""

    def __init__(self, *, least_milli: int = 0, **kwargs: Any) -> None:
        self.least_milli = least_milli
        super().__init__(**kwargs)

    def read(self, text: str) -> int:
        return whole_milli(parse_decimal(text), text=text, least_milli=self.least_milli)

    def write(self, value: int) -> str:
        return plain_number(Fraction(value, 1000))


class MinutesField(MeasureField):
    """A stretch of time as people say it (90, 90 min, 1:30, 1.5 h, 1:30:15); the value is in seconds."""

    def read(self, text: str) -> int:
        expected = "a time such as 90 min, 1:30 or 1.5 h"
        body = text.strip().casefold()
        if ":" in body:
            parts = body.split(":")
            is_time = len(parts) <= 3 and all(part.isdecimal() and len(part) <= 5 for part in parts)
            if not is_time or any(int(part) > 59 for part in parts[1:]):
                raise MeasureError(text, expected)
            hours, minutes, seconds = (*map(int, parts), 0)[:3]
            return self._within(hours * 3600 + minutes * 60 + seconds, text=text, expected=expected)
        factor = 3600 if body.endswith(("h", "hour", "hours")) else 60
        value = parse_decimal(body.rstrip(" abcdefghijklmnopqrstuvwxyz")) * factor
        return self._within(round(value), text=text, expected=expected)

    @staticmethod
    def _within(seconds: int, *, text: str, expected: str) -> int:
        if not 0 <= seconds <= LONGEST_SECONDS:
            raise MeasureError(text, expected)
        return seconds

    def write(self, value: int) -> str:
        hours, rest = divmod(value, 3600)
        minutes, seconds = divmod(rest, 60)
        if seconds:
            return f"{hours}:{minutes:02d}:{seconds:02d}"
        return f"{hours}:{minutes:02d}" if hours else f"{minutes} min"


class DayField(MeasureField):
    """A calendar day; shown as the browser's own date control."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **kwargs)

    def read(self, text: str) -> Any:
        found = parse_date(text)
        if found.year not in YEARS:
            raise MeasureError(text, "a year such as 2026", reason="whose year cannot be meant")
        return found

    def write(self, value: Any) -> str:
        return str(value.isoformat())


class MomentField(MeasureField):
    """A day and a time of day in the show's own zone; the value is an aware instant."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
        super().__init__(widget=widget, **kwargs)

    def read(self, text: str) -> datetime:
        expected = "a day and a time such as 2026-05-15 18:00"
        try:
            naive = datetime.fromisoformat(text.strip())
        except ValueError:
            raise MeasureError(text, expected) from None
        if naive.year not in YEARS:
            raise MeasureError(text, "a year such as 2026", reason="whose year cannot be meant")
        moment = naive.replace(tzinfo=self.show.zone) if naive.tzinfo is None else naive
        if moment.astimezone(UTC).astimezone(self.show.zone).replace(tzinfo=None) != moment.replace(tzinfo=None):
            raise MeasureError(text, "another hour", reason="an hour that the change to summer time leaves out")
        return moment

    def write(self, value: datetime) -> str:
        return value.astimezone(self.show.zone).strftime("%Y-%m-%dT%H:%M")


def plain_number(value: Fraction) -> str:
    """A number with at most three decimals and no trailing zeros."""
    return f"{float(value):.3f}".rstrip("0").rstrip(".")


class LongSelect(forms.Select):
    """For hundreds of options: Django’s own runs two templates for each, which is most of the time of an order form."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        """The same select, written in one go; no groups."""
        drawn = self.get_context(name, value, attrs)["widget"]
        options = [option for _, group, _ in drawn["optgroups"] for option in group]
        lines = ((one["value"], " selected" if one["selected"] else "", one["label"]) for one in options)
        return format_html(
            '<select name="{}"{}>\n{}\n</select>',
            drawn["name"], flatatt(drawn["attrs"]), format_html_join("\n", '<option value="{}"{}>{}</option>', lines),
        )  # fmt: skip

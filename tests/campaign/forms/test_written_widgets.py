"""Controls and fields that are written in one go are those of Django and crispy-forms, tag for tag."""

from html.parser import HTMLParser
from typing import Any

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.template.loader import get_template
from django.utils.safestring import SafeString
from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.forms.fields import LongSelect
from campaign.forms.layout import plain_helper
from campaign.forms.written_widgets import WRITTEN, WrittenWidgets
from tests.faults.nasty import MADE_UP

COLOURS = [
    ("r", "Red <&\"'>"),
    ("", "None"),
    (7, "Seven"),
    ("Others", [("g", SafeString("<b>Green</b>")), ("b", "Blue")]),
]
WIDGETS: list[forms.Widget] = [
    forms.TextInput({"placeholder": "<x>", "class": "own", "data-n": 3}), forms.NumberInput(), forms.EmailInput(),
    forms.URLInput(), forms.PasswordInput(render_value=True), forms.HiddenInput({"autocomplete": "off"}),
    forms.DateInput({"type": "date"}), forms.DateTimeInput(), forms.TimeInput(), forms.Textarea({"rows": 4}),
    forms.CheckboxInput({"checked": True}), forms.CheckboxInput({"disabled": False}), forms.Select(choices=COLOURS),
    forms.SelectMultiple(choices=COLOURS), LongSelect(choices=[("r", "Red <&\"'>"), ("", "No"), (7, "Seven")]),
]  # fmt: skip


class Reader(HTMLParser):
    """Tags with their attributes, and the words between, without the white space of a layout."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.read: list[Any] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.read.append((tag, sorted((name, value or "") for name, value in attrs)))

    def handle_endtag(self, tag: str) -> None:
        self.read.append(f"/{tag}")

    def handle_data(self, data: str) -> None:
        if words := data.split():
            self.read.append(words)


def tidy(html: str) -> list[Any]:
    return Reader(html).read


@given(value=MADE_UP, place=st.integers(0, len(WIDGETS) - 1))
@settings(max_examples=300)
def test_a_control_is_what_djangos_template_makes(value: str, place: int) -> None:
    widget = WIDGETS[place]
    attrs = {"id": "id_x", "title": value, "required": True}
    written = widget.render(value, value, attrs, WrittenWidgets())
    plain = forms.Select.render if isinstance(widget, LongSelect) else type(widget).render
    assert tidy(written) == tidy(plain(widget, value, value, attrs, DjangoTemplates()))


@pytest.mark.parametrize("value", [None, "", "r", 7, "7", "g", "b", ["r", "7"], "<", 0, False, True])
@pytest.mark.parametrize("place", range(len(WIDGETS)))
def test_a_value_of_any_kind_stands_in_it(value: Any, place: int) -> None:
    widget = WIDGETS[place]
    plain = forms.Select.render if isinstance(widget, LongSelect) else type(widget).render
    assert tidy(widget.render("x", value, {}, WrittenWidgets())) == tidy(
        plain(widget, "x", value, {}, DjangoTemplates())
    )


def test_all_that_is_written_is_a_template_of_django() -> None:
    for name in WRITTEN:
        assert DjangoTemplates().get_template(name)


class Everything(forms.Form):
    """A field of each kind that our forms have."""

    name = forms.CharField(label="Name <b>", help_text='As on the <a href="/x">label</a>.', max_length=5)
    note = forms.CharField(label="", required=False, widget=forms.Textarea)
    agreed = forms.BooleanField(label="I agree <&>", help_text="To all of it.")
    wanted = forms.BooleanField(label="Wanted", required=False)
    colour = forms.ChoiceField(choices=COLOURS[:2], label="Colour", required=False)
    country = forms.ChoiceField(choices=COLOURS[:3], widget=LongSelect)
    many = forms.MultipleChoiceField(choices=COLOURS[:3])
    way = forms.ChoiceField(choices=COLOURS[:2], widget=forms.RadioSelect)
    boxes = forms.MultipleChoiceField(choices=COLOURS[:2], widget=forms.CheckboxSelectMultiple)
    picture = forms.FileField(required=False)
    day = forms.DateField(widget=forms.DateInput({"type": "date", "class": "short"}))
    key = forms.CharField(widget=forms.HiddenInput)


@pytest.mark.parametrize(
    "typed", [None, {}, {"name": "<script>zq7()", "day": "x\"'>", "colour": "none", "agreed": "on"}]
)
@pytest.mark.parametrize("name", Everything.base_fields)
@pytest.mark.parametrize("more", [{}, {"wrapper_class": "col-6"}, {"error_text_inline": False}, {"label_class": "odd"}])
def test_a_field_is_what_the_template_of_crispy_forms_draws(name: str, typed: Any, more: dict[str, Any]) -> None:
    drawn = []
    for template in ("campaign/field.html", "bootstrap5/field.html"):
        context = plain_helper().get_attributes() | {"field": Everything(typed)[name]} | more
        drawn.append(tidy(get_template(template).render(context)))
    assert drawn[0] == drawn[1]
    assert drawn[0]

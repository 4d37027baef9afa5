"""
Form controls written in one go: Django’s own runs two templates for each, a good part of the time of a page of fields.

The names of Django’s templates are kept, and whatever is not here is theirs; tests compare the two.
"""

from collections.abc import Callable, Mapping
from html import escape
from typing import Any

from django.forms.renderers import DjangoTemplates

Widget = Mapping[str, Any]


def attributes(attrs: Mapping[str, Any]) -> str:
    """The attributes of a tag, each after a space; True stands for one without a value, False for none."""
    return "".join(
        f" {escape(name)}" if value is True else f' {escape(name)}="{_text(value)}"'
        for name, value in attrs.items()
        if value is not False
    )


def _text(value: Any) -> str:
    """As a template writes it: what says that it is HTML already is left as it is."""
    return str(value.__html__() if hasattr(value, "__html__") else escape(str(value)))


def _input(widget: Widget) -> str:
    value = "" if widget["value"] is None else f' value="{_text(widget["value"])}"'
    return f'<input type="{widget["type"]}" name="{_text(widget["name"])}"{value}{attributes(widget["attrs"])}>'


def _textarea(widget: Widget) -> str:
    value = _text(widget["value"]) if widget["value"] else ""
    return f'<textarea name="{_text(widget["name"])}"{attributes(widget["attrs"])}>\n{value}</textarea>'


def _select(widget: Widget) -> str:
    parts = [f'<select name="{_text(widget["name"])}"{attributes(widget["attrs"])}>']
    for group, options, _ in widget["optgroups"]:
        if group:
            parts.append(f'  <optgroup label="{_text(group)}">')
        parts += [
            f'  <option value="{_text(one["value"])}"{attributes(one["attrs"])}>{_text(one["label"])}</option>'
            for one in options
        ]
        if group:
            parts.append("  </optgroup>")
    return "\n".join([*parts, "</select>"])


INPUTS = ("input", "text", "number", "email", "url", "password", "hidden", "date", "datetime", "time", "checkbox")
WRITTEN: Mapping[str, Callable[[Widget], str]] = {
    **{f"django/forms/widgets/{name}.html": _input for name in INPUTS},
    "django/forms/widgets/textarea.html": _textarea,
    "django/forms/widgets/select.html": _select,
}


class WrittenWidgets(DjangoTemplates):
    """Django’s renderer with the commonest controls written directly."""

    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        """The HTML of a control, a form or a list of errors."""
        write = WRITTEN.get(template_name)
        return write(context["widget"]) if write else super().render(template_name, context, request)

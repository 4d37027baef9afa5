"""A field with its label, faults and help, as crispy-forms draws it for Bootstrap 5, written in one go."""

from typing import Any

from crispy_forms.utils import TEMPLATE_PACK
from django import forms, template
from django.template import Context
from django.template.loader import get_template
from django.utils.html import conditional_escape, format_html, format_html_join
from django.utils.safestring import SafeString

register = template.Library()
PLAIN = (forms.TextInput, forms.Textarea, forms.Select, forms.CheckboxInput, forms.DateInput, forms.DateTimeInput)
ODD = (forms.SelectMultiple, forms.RadioSelect)
# What a helper can say that none of our forms does: with any of it crispy-forms' own template is asked.
UNUSED = ("tag", "label_class", "field_class", "form_class", "help_text_inline")
USED = ("form_show_labels", "form_show_errors")


@register.simple_tag(takes_context=True)
def labelled_field(context: Context) -> SafeString:
    """
    `{% labelled_field %}`: the `field` of the context.

    Most of the time of a page of forms was the template of crispy-forms, some forty conditions a field. What it draws
    for controls of one tag is drawn here; all others are still its own.
    """
    field = context["field"]
    if field.is_hidden:
        return _drawn(field)
    widget = field.field.widget
    is_plain = isinstance(widget, PLAIN) and not isinstance(widget, ODD) and not field.use_fieldset
    if not is_plain or any(map(context.get, UNUSED)) or not all(map(context.get, USED)):
        known: Any = context.flatten()
        return SafeString(get_template(f"{TEMPLATE_PACK}/field.html").render(known))
    draw = _box if isinstance(widget, forms.CheckboxInput) else _line
    return draw(field, has_spans=bool(context.get("error_text_inline")), more=_classes(context, field))


def _classes(context: Context, field: Any) -> str:
    return "".join(f" {one}" for one in (context.get("wrapper_class"), field.css_classes()) if one)


def _line(field: Any, *, has_spans: bool, more: str) -> SafeString:
    kind = "form-select" if isinstance(field.field.widget, forms.Select) else "form-control"
    label = SafeString("")
    if field.label:
        label = format_html(
            '<label{} class="form-label{}">{}</label>\n',
            format_html(' for="{}"', field.id_for_label) if field.id_for_label else "", *_name(field),
        )  # fmt: skip
    inside = label + _control(field, kind) + _faults(field, has_spans=has_spans) + _help(field)
    return format_html('<div id="div_{}" class="mb-3{}">\n{}</div>\n', field.auto_id, more, inside)


def _box(field: Any, *, has_spans: bool, more: str) -> SafeString:
    label = format_html('<label for="{}" class="form-check-label{}">{}</label>\n', field.id_for_label, *_name(field))
    inside = _control(field, "form-check-input") + label + _faults(field, has_spans=has_spans) + _help(field)
    return format_html(
        '<div class="mb-3">\n<div id="div_{}" class="form-check{}">\n{}</div>\n</div>\n', field.auto_id, more, inside
    )


def _name(field: Any) -> tuple[str, SafeString]:
    """The label's class and words of a field, by whether it must be filled in."""
    if field.field.required:
        return " requiredField", format_html('{}<span class="asteriskField">*</span>', field.label)
    return "", conditional_escape(field.label)


def _drawn(field: Any) -> SafeString:
    return SafeString(f"{field}\n")


def _control(field: Any, kind: str) -> SafeString:
    widget = field.field.widget
    own, classes = type(widget).__name__.lower(), widget.attrs.get("class", "")
    known = [classes] if own in classes else [*classes.split(), own]
    wanted = [kind, "is-invalid"] if field.errors else [kind]
    present = " ".join(known).split()
    widget.attrs["class"] = " ".join([*known, *(one for one in wanted if one not in present)])
    return _drawn(field)


def _faults(field: Any, *, has_spans: bool) -> SafeString:
    if not field.errors:
        return SafeString("")
    tag = "span" if has_spans else "p"
    each = format_html_join(
        "",
        '<{} id="error_{}_{}"><strong>{}</strong></{}>\n',
        ((tag, number, field.auto_id, fault, tag) for number, fault in enumerate(field.errors, start=1)),
    )
    return format_html('<div id="{}_error" class="invalid-feedback">\n{}</div>\n', field.errors.field_id or "", each)


def _help(field: Any) -> SafeString:
    if not field.help_text:
        return SafeString("")
    place = format_html('id="{}_helptext" ', field.auto_id) if field.auto_id else ""
    return format_html('<div {}class="form-text">{}</div>\n', place, SafeString(field.help_text))

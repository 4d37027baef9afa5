"""What forms of the studio share: the show's units, the places of fields, and rows that grow without script."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms

from campaign.forms.fields import MeasureField
from campaign.forms.layout import plain_helper


def laid_out(*parts: Any) -> FormHelper:
    """A helper that writes the fields in this order; the page's own form tag carries token and buttons."""
    helper = plain_helper()
    helper.layout = Layout(*parts)
    return helper


class ShowForm(forms.Form):
    """A form about one show; its fields read and write the show's currency and length unit."""

    helper = plain_helper()

    def __init__(self, *args: Any, show: Any, **kwargs: Any) -> None:
        self.show = show
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, MeasureField):
                field.show = show

    @property
    def typed(self) -> dict[str, Any]:
        """What stands in the fields now, as text: the initial values of the same form without its errors."""
        return {name: self[name].data for name in self.fields if not isinstance(self.fields[name], forms.FileField)}


class Rows(forms.BaseFormSet):  # type: ignore[type-arg]  # forms of any kind
    """Rows of a table: always some empty ones at the end; an emptied or ticked row is taken away."""

    def __init__(self, *args: Any, show: Any, form_kwargs: dict[str, Any] | None = None, **kwargs: Any) -> None:
        self.show = show
        kwargs["form_kwargs"] = {"show": show, **(form_kwargs or {})}
        super().__init__(*args, **kwargs)

    def total_form_count(self) -> int:
        """One at least, whatever number of rows a browser says it sends: a fault needs a row to stand at."""
        return max(1, super().total_form_count())

    def add_fields(self, form: Any, index: int | None) -> None:
        super().add_fields(form, index)
        form.fields["DELETE"].label = "take away"

    @property
    def kept(self) -> list[dict[str, Any]]:
        """Clean values of the rows that are to stay, in order."""
        rows = [form.cleaned_data for form in self.forms if form.has_changed() and not form.cleaned_data.get("DELETE")]
        return [{name: value for name, value in row.items() if name != "DELETE"} for row in rows]

    def with_more(self) -> "Rows":
        """The same rows as typed so far, unchecked, with fresh empty ones below."""
        typed = [form.typed for form in self.forms if form.has_changed()]
        return type(self)(show=self.show, form_kwargs=self.form_kwargs, prefix=self.prefix, initial=typed)


class RowForm(ShowForm):
    """One row; a row in which nothing is typed counts as absent."""

    use_required_attribute = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.empty_permitted = True

    def has_changed(self) -> bool:
        """True when something is typed in a field of text, or chosen where nothing is chosen at first."""
        own = [name for name, field in self.fields.items() if isinstance(field, (forms.CharField, ItemField))]
        return any(str(self[name].data or "").strip() for name in own)


class ItemField(forms.ChoiceField):
    """A choice that is empty at first, so that choosing begins a row."""


def rows_of(form: type[RowForm], *, spare: int = 2, most: int = 200) -> type[Rows]:
    """A formset class of `form` with `spare` empty rows and a box to take a row away."""
    return forms.formset_factory(  # type: ignore[return-value]  # the factory says BaseFormSet
        form, formset=Rows, extra=spare, can_delete=True, max_num=most, absolute_max=most, validate_max=True
    )

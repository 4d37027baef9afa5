"""A select of hundreds of options says what Django's own says."""

from django import forms
from django.forms.renderers import DjangoTemplates

from campaign.forms.fields import LongSelect
from tests.faults.forms_on_pages import read_page

CHOICES = [("", "Choose"), ("DE", "Germany"), ("CI", "Côte d’Ivoire"), ('"><b>', "<script>&</script>"), ("DE", "again")]


def drawn(widget, value, **attrs):
    html = widget(choices=CHOICES, attrs={"autocomplete": "country"}).render("c", value, attrs, DjangoTemplates())
    return "".join(html.split("\n")).replace("  ", "")


def test_every_option_and_the_chosen_one_are_those_of_djangos_select():
    for value in ("DE", "", None, '"><b>', "XX"):
        for attrs in ({"class": "form-select", "id": "id_c"}, {"id": "id_c", "required": True}):
            assert drawn(LongSelect, value, **attrs) == drawn(forms.Select, value, **attrs)


def test_what_is_typed_into_a_form_is_kept():
    class Form(forms.Form):
        c = forms.ChoiceField(choices=CHOICES, widget=LongSelect)

    [form], _ = read_page(f"<form>{Form({'c': 'CI'})}</form>", address="/")
    assert form.values == {"c": "CI"}

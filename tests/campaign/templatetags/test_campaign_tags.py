"""How figures, moments and addresses are written on pages and in mails."""

from datetime import UTC, date, datetime

import pytest
from django import forms
from django.template import Context, Template

from campaign.models import Show, Size
from campaign.planning.placing.hooks import Hook
from tests.builders import LONDON_ADDRESS


def render(text: str, **context: object) -> str:
    return Template("{% load campaign_tags %}" + text).render(Context(context))


@pytest.fixture
def euro_show() -> Show:
    return Show(currency="EUR", locale="en", time_zone="Europe/Berlin", length_unit="cm", country="DE")


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("{{ 1250|money:show }}", "€12.50"),
        ("{{ 1250|money:'JPY' }}", "¥1,250"),
        ("{{ 1250|decimal:show }}", "12.50"),
        ("{{ 6200|length:show.length_unit }}", "620 cm"),
        ("{{ works|length }}", "2"),
        ("{% autoescape off %}{{ works|listed }}{% endautoescape %}", "1 and 2"),
        ("{{ 'abc'|listed }} {{ ''|listed }}", "a, b and c "),
        ("{{ 7|spelled }} {{ 13|spelled }}", "seven 13"),
        ("{{ 3000|percent }} {{ 250|percent }} {{ 0|percent }}", "30 % 2.5 % 0 %"),
        ("{{ 'GB'|country }}", "United Kingdom"),
        ("{{ 'RF18539007547034'|reference }}", "RF18 5390 0754 7034"),
        ("{{ 'DE89370400440532013000'|iban }}", "DE89 3704 0044 0532 0130 00"),
        ("{{ 1400|weight }}", "1.4 kg"),
        ("{{ 1400|pounds }}", "3 lb 1 oz"),
        ("{{ 1237|tape:'in' }} {{ 1237|tape:'cm' }}", "48 11/16 in 123.7 cm"),
        ("{{ frame|tape_size:'in' }}, {{ frame|tape_size:'cm' }}", "24 × 18 1/8 in, 61 × 46 cm"),
        ("{{ hooks|tape_places:'in' }}, {{ hooks|tape_places:'cm' }}", "3 15/16 and 7 7/8 in, 10 and 20 cm"),
        ("{{ '*soft* <b>'|markdown }}", "<p><em>soft</em> &lt;b&gt;</p>\n"),
    ],
)
def test_figures_are_written_one_way(euro_show: Show, text: str, written: str) -> None:
    frame, hooks = Size(width_mm=610, height_mm=460), (Hook(100, 1_680), Hook(200, 1_680))
    assert render(text, show=euro_show, works=[1, 2], frame=frame, hooks=hooks) == written


def test_moments_are_in_the_shows_zone_which_is_named(euro_show: Show) -> None:
    summer, winter = datetime(2026, 7, 1, 22, 30, tzinfo=UTC), datetime(2026, 1, 1, 23, 30, tzinfo=UTC)
    written = render("{{ a|moment:show }} / {{ b|moment:show }} / {{ b|day:show }}", show=euro_show, a=summer, b=winter)
    assert written == "2 July 2026, 00:30 CEST / 2 January 2026, 00:30 CET / 2 January 2026"


def test_zone_without_letters_is_told_by_its_distance() -> None:
    show = Show(time_zone="America/Sao_Paulo")
    at = datetime(2026, 5, 1, 10, 0, tzinfo=UTC)
    assert render("{{ at|moment:show }}", show=show, at=at) == "1 May 2026, 07:00 UTC-03"


def test_day_of_a_date_needs_no_show() -> None:
    assert render("{{ on|day }}", on=date(2026, 7, 31)) == "31 July 2026"


def test_size_is_read_off_anything_with_two_sides(euro_show: Show) -> None:
    assert (
        render("{{ thing|size:'cm' }}", thing=type("Thing", (), {"width_mm": 297, "height_mm": 210})) == "29.7 × 21 cm"
    )


def test_label_lines_end_with_the_country_abroad_only() -> None:
    pledge = type("Pledge", (), {"name": "Mary Sample", "address": LONDON_ADDRESS})
    text = "{% postal_lines pledge country as lines %}{{ lines|join:'/' }}"
    assert render(text, pledge=pledge, country="DE") == "Mary Sample/1 Sample Lane/LONDON/SW1A 2AA/UNITED KINGDOM"
    assert render(text, pledge=pledge, country="GB") == "Mary Sample/1 Sample Lane/LONDON/SW1A 2AA"


def test_gift_has_no_label_lines() -> None:
    pledge = type("Pledge", (), {"name": "Mary Sample", "address": {}})
    assert render("{% postal_lines pledge 'DE' as lines %}{{ lines|length }}", pledge=pledge) == "0"


class TwoFields(forms.Form):
    name = forms.CharField(error_messages={"required": "A name is needed."})
    way = forms.ChoiceField(choices=[("a", "A")], widget=forms.RadioSelect, error_messages={"required": "Choose."})


def test_summary_links_to_each_field_and_to_the_first_of_a_group() -> None:
    form = TwoFields({})
    form.add_error(None, "And <this>.")
    html = render("{% error_summary form %}", form=form)
    assert "Three things need another look." in html
    assert '<a href="#id_name">Name</a>: A name is needed.' in html
    assert '<a href="#id_way_0">Way</a>: Choose.' in html
    assert "<li>And &lt;this&gt;.</li>" in html


def test_summary_of_a_form_without_faults_is_nothing() -> None:
    assert render("{% error_summary form %}", form=TwoFields({"name": "x", "way": "a"})).strip() == ""

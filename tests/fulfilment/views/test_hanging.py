"""The room Hang and its sheet to print."""

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from campaign.queries.paper_size import page_size_of
from fulfilment.services.hanging_sheet import sheet_source
from tests.builders import make_show
from tests.fulfilment.scene import order

pytestmark = pytest.mark.usefixtures("db")


@pytest.fixture
def hung(show):
    """A show with works on its walls and a word of the artist's."""
    for _ in range(5):
        order(show, copies=3)
    show.cautions = ["The door opens inwards."]
    show.save(update_fields=["cautions"])
    return show


def sheet_address(show):
    return reverse("fulfilment:hanging_sheet", args=[show.code])


def test_page_has_drawing_table_hooks_and_the_artists_own_words(ada_client, hung):
    html = ada_client.get(reverse("fulfilment:hang", args=[hung.code])).content.decode()
    assert 'class="el-hook"' in html
    assert "Hooks above floor" in html
    assert "The door opens inwards." in html
    assert sheet_address(hung) in html


def test_sheet_is_a_pdf_that_no_cache_keeps(ada_client, hung, engine):
    answer = ada_client.get(sheet_address(hung))
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    assert "no-store" in answer["Cache-Control"]


def test_same_plan_gives_the_same_sheet(ada_client, hung, engine):
    assert ada_client.get(sheet_address(hung)).content == ada_client.get(sheet_address(hung)).content


def test_machine_without_the_engine_says_so_on_the_page(ada_client, hung, engine):
    engine("missing")
    answer = ada_client.get(sheet_address(hung), follow=True)
    assert answer.redirect_chain == [(reverse("fulfilment:hang", args=[hung.code]), 302)]
    assert "pango" in answer.content.decode()


def sheet_html(show):
    """What the paper engine is given."""
    source = sheet_source(show)
    return render_to_string(source.template, dict(source.context))


def test_sheet_says_every_length_in_both_units_and_shows_no_picture(hung):
    html = sheet_html(hung)
    assert "cm, below it inches" in html
    assert " lb " in html or " oz" in html
    assert "The door opens inwards." in html
    assert "<image" not in html
    assert "Measure again" in html


@pytest.mark.parametrize(("country", "size"), [("US", "letter"), ("DE", "A4")])
def test_sheet_is_on_the_paper_of_its_country(country, size):
    show = make_show(country=country, length_unit="in")
    assert page_size_of(show) == size
    html = sheet_html(show)
    assert f"size: {size};" in html

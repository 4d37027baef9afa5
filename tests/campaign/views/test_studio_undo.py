"""The button that takes back the last step, on the pages of Measure."""

import pytest
from django.urls import reverse

from campaign.models import LastStep, Show
from tests.builders import NOW
from tests.campaign.views.studio_forms import words_of
from tests.campaign.views.test_studio_measure import edit

pytestmark = pytest.mark.usefixtures("clock")
URL = "/studio/tideline/measure/take-back/"


def step_of(show):
    return LastStep.objects.get(show=show)


def test_a_step_is_taken_back_and_done_again_by_its_button(ada_client, show):
    page = edit(ada_client, "wall", "tideline", "east", width_mm="9 m")
    assert "Take back: The wall “East wall” was changed" in page.content.decode()
    page = ada_client.post(URL, {"step": step_of(show).pk, "part": "walls"}, follow=True)
    assert page.redirect_chain == [(reverse("campaign:walls", args=["tideline"]), 302)]
    assert words_of(page)[0].startswith("Taken back. ")
    assert show.walls.get(code="east").width_mm == 3400
    assert "Do again: The wall “East wall” was changed" in page.content.decode()
    ada_client.post(URL, {"step": step_of(show).pk})
    assert show.walls.get(code="east").width_mm == 9000


@pytest.mark.parametrize("part", ["gifts", "schedule"])
def test_the_button_leads_back_to_where_it_stood(ada_client, show, part):
    page = ada_client.post(URL, {"step": "0", "part": part}, follow=True)
    assert page.redirect_chain == [(reverse(f"campaign:{part}", args=["tideline"]), 302)]


def test_the_same_button_twice_is_one_act(ada_client, show):
    edit(ada_client, "wall", "tideline", "east", width_mm="9 m")
    data = {"step": step_of(show).pk, "part": "walls"}
    for _ in range(2):
        page = ada_client.post(URL, data, follow=True)
        assert words_of(page)[0].startswith("Taken back. ")
    assert show.walls.get(code="east").width_mm == 3400


def test_saving_a_form_unchanged_keeps_the_step_before_it(ada_client, show):
    edit(ada_client, "wall", "tideline", "east", width_mm="9 m")
    page = edit(ada_client, "work", "tideline", "w01")
    assert "Take back: The wall “East wall” was changed" in page.content.decode()
    ada_client.post(URL, {"step": step_of(show).pk})
    assert show.walls.get(code="east").width_mm == 3400


@pytest.mark.parametrize("step", ["", "x", "-1", "9" * 40, "²"])
def test_nonsense_takes_nothing_back(ada_client, show, step):
    edit(ada_client, "wall", "tideline", "east", width_mm="9 m")
    page = ada_client.post(URL, {"step": step, "part": "https://example.org"}, follow=True)
    assert page.redirect_chain == [(reverse("campaign:measure", args=["tideline"]), 302)]
    assert "cannot be taken back any more" in words_of(page)[0]
    assert show.walls.get(code="east").width_mm == 9000


def test_no_button_once_the_campaign_is_closed(ada_client, show):
    edit(ada_client, "wall", "tideline", "east", width_mm="9 m")
    Show.objects.filter(pk=show.pk).update(state=Show.State.CLOSED, closed_at=NOW)
    page = ada_client.get(reverse("campaign:works", args=["tideline"]))
    assert "Take back" not in page.content.decode()
    page = ada_client.post(URL, {"step": step_of(show).pk}, follow=True)
    assert "The campaign closed on 10 March 2026" in words_of(page)[0]

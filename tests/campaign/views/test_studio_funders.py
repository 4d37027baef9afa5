"""The pages of sponsors and grants."""

import io

import pypdf
import pytest
from django.urls import reverse

from campaign.models import CashEntry, Funder
from campaign.services.funders import FunderWish, add_funder
from tests.campaign.views.studio_forms import filled, words_of


def url(name, show, *parts):
    return reverse(f"campaign:{name}", args=[show.code, *parts])


@pytest.fixture
def funder(show):
    wish = FunderWish("grant", "asked", "City culture fund", asked_minor=40_000, restricted_to="frames")
    return add_funder(show=show, code="fund1", wish=wish)


def test_one_is_written_down_and_changed(show, ada_client):
    page = ada_client.get(url("new_funder", show))
    data = filled(page, name="Bakery Kornblum", asked_minor="150", due_on="2026-04-01", next_step="telephone")
    answer = ada_client.post(url("new_funder", show), data, follow=True)
    assert "Bakery Kornblum is written down." in " ".join(words_of(answer))
    ada_client.post(url("new_funder", show), data)
    found = Funder.objects.get()
    assert (found.asked_minor, found.deadline.on.isoformat()) == (15_000, "2026-04-01")
    again = filled(ada_client.get(url("funder", show, found.code)), state="promised", promised_minor="120,50")
    assert ada_client.post(url("funder", show, found.code), again).status_code == 302
    assert Funder.objects.get().promised_minor == 12_050


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"name": ""}, "required"),
        ({"asked_minor": "a lot"}, "amount"),
        ({"asked_minor": "0"}, "more than nothing"),
        ({"due_on": "32 May"}, "day"),
        ({"email": "nobody"}, "An address looks like"),
        ({"state": "promised"}, "Write the sum that was promised"),
        ({"remind_days": "400"}, "from 0 to 60"),
        ({"name": "x\0y"}, "Null characters"),
    ],
)
def test_nonsense_gets_a_sentence_at_its_field(show, ada_client, changes, sentence):
    data = filled(ada_client.get(url("new_funder", show)), **({"name": "Somebody"} | changes))
    answer = ada_client.post(url("new_funder", show), data)
    assert answer.status_code == 200
    assert sentence in answer.content.decode()
    assert not Funder.objects.exists()


def test_money_is_booked_once_and_moves_the_show(show, funder, ada_client):
    page = ada_client.get(url("funder_money", show, funder.code))
    assert "It may be used for: frames." in page.content.decode()
    data = filled(page, amount_minor="400")
    answer = ada_client.post(url("funder_money", show, funder.code), data, follow=True)
    assert "Booked." in answer.content.decode()
    ada_client.post(url("funder_money", show, funder.code), data)
    assert CashEntry.objects.get().amount_minor == 40_000
    other = ada_client.post(url("funder_money", show, funder.code), data | {"amount_minor": "1"})
    assert "sent before with another amount" in other.content.decode()


def test_one_with_money_is_not_taken_out(show, funder, ada_client):
    money = url("funder_money", show, funder.code)
    ada_client.post(money, filled(ada_client.get(money), amount_minor="4"))
    answer = ada_client.post(url("delete_funder", show, funder.code), follow=True)
    assert "stands in the cash book" in answer.content.decode()
    assert Funder.objects.exists()


def test_the_paper_says_what_the_sum_would_hang_on_one_page(show, funder, ada_client):
    answer = ada_client.get(url("prospectus", show, funder.code))
    assert answer["Content-Type"] == "application/pdf"
    paper = pypdf.PdfReader(io.BytesIO(answer.content))
    assert len(paper.pages) == 1
    text = " ".join(paper.pages[0].extract_text().split())
    assert "With €400.00 from City culture fund the show would be" in text
    assert "What it adds" in text
    assert ada_client.get(url("prospectus", show, funder.code)).content == answer.content

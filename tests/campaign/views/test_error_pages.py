"""What stands where nothing is found, and where an address takes only what a form sends."""

import pytest
from django.urls import reverse

from tests.builders import make_draft


@pytest.mark.parametrize("page", ["publish", "take_back", "mend_level"])
def test_an_address_for_buttons_has_a_page_with_a_way_back(ada_client, db, page):
    answer = ada_client.get(reverse(f"campaign:{page}", args=[make_draft().code]))
    assert (answer.status_code, answer["Allow"]) == (405, "POST")
    text = answer.content.decode()
    assert "Here only a button does something." in text
    assert reverse("campaign:studio") in text


def test_a_reader_who_is_not_signed_in_is_led_to_the_show(client, db):
    text = client.post(reverse("campaign:front")).content.decode()
    assert f'href="{reverse("campaign:front")}"' in text
    assert "button" in text


def test_an_answer_with_words_of_its_own_stays(ada_client, db):
    answer = ada_client.get("/there-is-no-such-page/")
    assert answer.status_code == 404
    assert "Nothing hangs here." in answer.content.decode()

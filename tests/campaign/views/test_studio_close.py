"""Closing a campaign whose inputs are beyond what can be planned."""

import pytest
from django.urls import reverse

from campaign.models import Finish, RecipeLine, Show
from campaign.services.plans import touch_inputs
from tests.campaign.views.studio_forms import words_of

pytestmark = pytest.mark.usefixtures("clock")


@pytest.mark.parametrize("method", ["get", "post"])
def test_what_cannot_be_planned_is_not_closed_and_said_in_words(ada_client, show, method):
    item = show.price_items.get(code="paper")
    for number in range(63):
        finish = Finish.objects.create(show=show, code=f"f{number}", name=f"Finish {number}", setup_minor=100)
        RecipeLine.objects.create(finish=finish, item=item, basis="print_area")
    touch_inputs(show)
    answer = getattr(ada_client, method)(reverse("campaign:close", args=[show.code]), follow=True)
    assert answer.status_code == 200
    assert "cannot be worked out" in words_of(answer)[0]
    assert "62 or fewer" in words_of(answer)[0]
    assert Show.objects.get(pk=show.pk).state == Show.State.OPEN


def test_looking_at_the_close_never_waits_for_a_proof(ada_client, show, monkeypatch):
    touch_inputs(show)

    def proved(*args, **more):
        raise AssertionError("the page waited for the exact staircase")

    monkeypatch.setattr("campaign.services.plans.build_staircase", proved)
    Finish.objects.filter(show=show).update(worth=61)
    touch_inputs(show)
    words = ada_client.get(reverse("campaign:close", args=[show.code])).content.decode()
    assert "still being proved" in words

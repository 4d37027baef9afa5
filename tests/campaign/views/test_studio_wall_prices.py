"""Wall prices: wanted sums are kept, another share is only tried."""

import pytest
from django.urls import reverse

from tests.builders import pay, place
from tests.campaign.views.studio_forms import filled, words_of

pytestmark = pytest.mark.usefixtures("clock")


@pytest.fixture
def funded(show):
    """Enough money for everything."""
    for _ in range(9):
        pay(place(show, copies=2))
    return show


def want(client, **changes):
    url = reverse("campaign:wanted_sums", args=["tideline"])
    return client.post(url, filled(client.get(url), **changes), follow=True)


def text_of(answer):
    return " ".join(answer.content.decode().split())


def test_wanted_sums_become_prices(ada_client, funded):
    for _ in range(2):
        answer = want(ada_client, **{"net-w01": "75", "net-w02": "120,00", "round_to_minor": "5"})
    assert answer.redirect_chain[-1][0] == reverse("campaign:wall_prices", args=["tideline"])
    assert words_of(answer)[0].startswith("Saved.")
    page = text_of(answer)
    for words in ("€110.00", "€175.00", "If all of them sell", "No sum said yet for"):
        assert words in page
    assert funded.works.get(code="w01").net_minor == 7_500


def test_an_emptied_sum_is_forgotten_and_the_last_step_can_be_taken_back(ada_client, funded):
    want(ada_client, **{"net-w01": "75"})
    want(ada_client, **{"net-w01": ""})
    assert funded.works.get(code="w01").net_minor is None
    step = funded.last_step.pk
    answer = ada_client.post(reverse("campaign:take_back", args=["tideline"]), {"step": step, "part": "wall_prices"})
    assert answer["Location"] == reverse("campaign:wall_prices", args=["tideline"])
    assert funded.works.get(code="w01").net_minor == 7_500


def test_another_share_is_tried_and_not_kept(ada_client, funded):
    want(ada_client, **{"net-w01": "75"})
    url = reverse("campaign:wall_prices", args=["tideline"])
    tried = {"commission_bp": "50", "frames_pass_through": "on", "steps": "3", "raise_bp": "20"}
    page = text_of(ada_client.get(url, tried))
    assert "share of 50 %, which is not taken of the frame" in page
    assert "Prices of later impressions" in page
    assert "tried out, not kept" in page
    funded.refresh_from_db()
    assert (funded.commission_bp, funded.frames_pass_through) == (3_000, False)


@pytest.mark.parametrize(
    ("tried", "field"), [({"commission_bp": "100 %"}, "commission_bp"), ({"round_to_minor": "0"}, "round_to_minor"),
                         ({"steps": "9"}, "steps")],
)  # fmt: skip
def test_figures_that_give_no_price_are_refused_at_the_field(ada_client, show, tried, field):
    answer = ada_client.get(reverse("campaign:wall_prices", args=["tideline"]), tried)
    assert answer.context["form"].errors[field]


def test_a_sum_that_cannot_be_read_is_refused_at_the_work(ada_client, show):
    answer = want(ada_client, **{"net-w03": "a lot", "net-w01": "75"})
    assert "Found “a lot”" in answer.context["form"].errors["net-w03"][0]
    assert show.works.get(code="w01").net_minor is None


def test_while_nothing_hangs_the_page_says_so(ada_client, show):
    assert b"Nothing hangs yet" in ada_client.get(reverse("campaign:wall_prices", args=["tideline"])).content

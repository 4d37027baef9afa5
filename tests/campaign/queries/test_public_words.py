"""The sentence of standing, in the states that a campaign goes through."""

from typing import Any

import pytest

from campaign.models import Level, Show, StaircaseRun
from campaign.queries.public_words import next_step_sentence, spell, standing_sentence
from campaign.queries.standing import read_standing
from campaign.services.payments import record_other_money
from tests.builders import NOW, pay, place

pytestmark = pytest.mark.django_db


def sentence(show: Show, **changes: Any) -> str:
    return standing_sentence(read_standing(show), **({"fixed": None, "now": NOW} | changes))


def give(show: Show, amount_minor: int) -> None:
    record_other_money(
        show=show, key=f"k{amount_minor}", kind="own", amount_minor=amount_minor, happened_on=NOW.date(), text="own",
        now=NOW,
    )  # fmt: skip


def test_counts_are_words_up_to_twelve() -> None:
    assert [spell(0), spell(7), spell(12), spell(13)] == ["no", "seven", "twelve", "13"]


def test_nothing_in_hand_and_nothing_open(show: Show) -> None:
    assert sentence(show) == "Nothing hangs yet. €100.00 more wall money reaches “A corner”."


def test_open_orders_reach_the_level_once_they_are_paid(show: Show) -> None:
    for _ in range(2):
        place(show, copies=3)
    assert sentence(show).endswith("once every open order is paid. With these orders “A corner” is reached.")


def test_works_in_hand_and_works_to_come_are_told_apart(show: Show) -> None:
    give(show, 6_000)
    place(show, copies=3)
    words = sentence(show)
    assert "of six works hang" in words and "more once every open order is paid" in words


def test_everything_hangs_and_every_level_is_reached(show: Show) -> None:
    give(show, 10_000_000)
    assert sentence(show) == "All six works hang. This is the best the room can be."
    assert next_step_sentence(read_standing(show)) == ""


def test_levels_below_the_top_of_the_staircase_leave_room_for_more(show: Show) -> None:
    Level.objects.exclude(name="A corner").delete()
    give(show, 20_000)
    assert sentence(show).endswith("Every level is reached, and more still makes the show better.")


def test_next_step_names_its_price_and_what_it_does(show: Show) -> None:
    words = next_step_sentence(read_standing(show))
    assert words.startswith("The next step is €") and "hangs one work more" in words


def test_before_the_first_staircase_it_says_so(show: Show) -> None:
    StaircaseRun.objects.all().delete()
    assert sentence(show) == "The walls are being worked out. Look again in a minute."


def test_single_paid_print_is_counted_net_of_its_costs(show: Show) -> None:
    pay(place(show))
    # 45.00 + 4.90 paid, less 4.20 to make, 1.80 to pack and 4.50 to post: 39.40 of wall money.
    assert "€60.60 more wall money reaches “A corner”." in sentence(show)

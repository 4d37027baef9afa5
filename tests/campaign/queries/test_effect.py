"""The sentence after an edit: what changed and only that."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from campaign.queries.effect import Outlook, describe_effect, read_outlook
from campaign.queries.money import read_money
from campaign.queries.standing import read_standing
from campaign.services.payments import record_other_money
from campaign.services.plans import refresh_quick, refresh_staircase
from tests.builders import NOW, make_draft, pay, place

SHOW = SimpleNamespace(currency="EUR", locale="en")
OUTLOOK = Outlook(works=11, worth=2908, next_minor=45_005, full_works=20, full_worth=9_000, full_minor=99_000)


def words(after, *, before=OUTLOOK):
    return describe_effect(SHOW, before=before, after=after)


def test_what_changed_at_the_money_in_hand_is_one_sentence():
    after = replace(OUTLOOK, works=12, worth=2_950, next_minor=48_000)
    assert words(after) == (
        "At the money in hand: 12 works hang instead of 11; worth 2,950 points instead of 2,908; "
        "the next step is at €480.00 instead of €450.05."
    )


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({}, "The plan stays as it was: 11 works hang."),
        ({"worth": 3_000}, "At the money in hand: 11 works hang as before; worth 3,000 points instead of 2,908."),
        ({"next_minor": None}, "At the money in hand: 11 works hang as before; there is no further step."),
        (
            {"full_minor": 98_000},
            "At the money in hand 11 works hang as before; the fullest show is 20 works for €980.00 instead of "
            "20 works for €990.00.",
        ),
        (
            {"works": 1, "full_worth": 8_999},
            "At the money in hand: 1 work hangs instead of 11; the fullest show is worth 8,999 points instead of "
            "9,000.",
        ),
    ],
)
def test_only_what_changed_is_said(changes, sentence):
    assert words(replace(OUTLOOK, **changes)) == sentence


def test_the_first_answer_and_the_missing_one_have_their_own_words():
    assert words(None) == "The best shows are being worked out."
    assert words(OUTLOOK, before=None) == "11 works hang now; the fullest show is 20 works for €990.00."


def test_an_answer_that_is_not_proved_yet_says_so():
    assert words(replace(OUTLOOK, is_proved=False, run=7)) == "The plan stays as it was: 11 works hang (being proved)."


QUICK = replace(OUTLOOK, is_proved=False, bound_worth=3_000, full_bound_worth=9_100)


@pytest.mark.parametrize(
    ("changes", "is_told"),
    [
        ({"works": 10, "worth": 2_900}, False),  # the bound leaves room for the 2,908 of before
        ({"works": 10, "worth": 2_900, "bound_worth": 2_907}, True),
        ({"works": 12, "worth": 2_950}, True),  # a better show that can be had is better, proved or not
        ({"next_minor": 45_300}, False),
        ({"next_minor": 48_000}, True),
        ({"next_minor": None}, True),
        ({"full_works": 19, "full_worth": 8_990}, False),
        ({"full_works": 19, "full_worth": 8_990, "full_bound_worth": 8_999}, True),
        ({"full_minor": 99_500}, False),
        ({"full_minor": 104_000}, True),
    ],
)
def test_a_quick_answer_tells_of_no_loss_that_may_be_its_own(changes, is_told):
    assert words(replace(QUICK, **changes)).startswith("The plan stays as it was") is not is_told
    assert not words(replace(QUICK, **changes, is_proved=True)).startswith("The plan stays as it was")


def test_the_outlook_is_read_from_the_steps_in_three_queries(show, django_assert_max_num_queries):
    for _ in range(5):
        pay(place(show, copies=1))
    with django_assert_max_num_queries(3):
        outlook = read_outlook(show)
    assert outlook.works > 0
    assert outlook.next_minor > 0
    assert outlook.full_works == 6
    assert outlook.is_proved


def test_there_is_no_outlook_before_the_first_staircase(db):
    draft = make_draft()
    assert read_outlook(draft) is None
    quick = refresh_quick(show=draft, now=NOW)
    assert (read_outlook(draft).works, read_outlook(draft).run) == (0, quick.pk)
    assert not read_outlook(draft).is_proved
    exact = refresh_staircase(show=draft, now=NOW)
    assert (read_outlook(draft).is_proved, read_outlook(draft).run) == (True, exact.pk)


def test_the_outlook_agrees_with_the_standing_at_every_sum(show):
    staircase = read_standing(show).staircase
    for step in staircase.steps[1 :: len(staircase.steps) // 7]:
        more_minor = step.money_minor + 1 - read_money(show).in_hand.total_minor
        record_other_money(
            show=show, key=f"own-{step.money_minor}", kind="own", amount_minor=more_minor, happened_on=NOW.date(),
            text="Own", now=NOW,
        )  # fmt: skip
        here, following = staircase.at(step.money_minor + 1), staircase.next_after(step.money_minor + 1)
        outlook = read_outlook(show)
        assert outlook.worth == here.worth
        assert outlook.works == sum(index >= 0 for index in here.choice)
        assert outlook.next_minor == (following.money_minor if following else None)

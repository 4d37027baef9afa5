"""Standing: a look-up on the stored staircase, in five queries."""

import pytest

from campaign.models import StaircaseRun
from campaign.queries.plan_request import dump_request, fingerprint_of, load_request, read_plan_request
from campaign.queries.standing import read_standing
from campaign.services.plans import refresh_staircase, touch_inputs
from tests.builders import NOW, make_draft, pay, place


def test_nothing_hangs_without_money(show):
    standing = read_standing(show)
    assert standing.now.works == ()
    assert standing.now.cost_minor == 0
    assert standing.next_level.level.name == "A corner"


def test_money_hangs_works_and_open_orders_show_what_more_would(show):
    for _ in range(3):
        pay(place(show, copies=2))
    for _ in range(3):
        place(show, copies=2)
    standing = read_standing(show)
    assert len(standing.now.works) > 0
    assert standing.now.cost_minor <= standing.in_hand_minor
    assert standing.now.worth < standing.if_paid.worth
    assert standing.levels[0].is_reached
    assert standing.levels[1].missing_minor == max(0, 25_000 - standing.in_hand_minor)


def test_standing_after_an_order_takes_five_queries(show, django_assert_num_queries):
    pay(place(show))
    with django_assert_num_queries(5):
        read_standing(show)


def test_worth_never_falls_as_money_rises(show):
    staircase = read_standing(show).staircase
    worths = [staircase.at(money).worth for money in range(0, 120_000, 500)]
    assert worths == sorted(worths)
    assert worths[-1] > worths[0]


def test_before_the_first_staircase_there_is_money_and_no_plan(db):
    standing = read_standing(make_draft())
    assert standing.now is None
    assert not standing.is_fresh


def test_an_edit_makes_the_staircase_stale_until_it_is_refreshed(show):
    touch_inputs(show)
    assert not read_standing(show).is_fresh
    refresh_staircase(show=show, now=NOW)
    assert read_standing(show).is_fresh


def test_unchanged_inputs_are_not_computed_again(show):
    before = StaircaseRun.objects.get()
    touch_inputs(show)
    assert refresh_staircase(show=show, now=NOW).pk == before.pk
    assert StaircaseRun.objects.count() == 1


def test_changed_inputs_give_a_second_staircase(show):
    show.price_items.filter(code="moulding").update(price_minor=100)
    touch_inputs(show)
    refresh_staircase(show=show, now=NOW)
    assert StaircaseRun.objects.count() == 2


def test_the_stored_request_is_the_request(show):
    request = read_plan_request(show)
    dumped = dump_request(request)
    loaded = load_request(dumped)
    assert dump_request(loaded) == dumped
    assert loaded.walls == request.walls
    assert fingerprint_of(dumped) == show.staircase_runs.get().fingerprint


def test_printer_time_is_kept_for_the_whole_edition(show):
    request = read_plan_request(show)
    # 20 copies of 297 × 210 mm at an hour a square metre
    assert request.printer_seconds == 200_000 - -(-297 * 210 * 20 * 3600 // 1_000_000)


@pytest.mark.parametrize("works", [0, 6])
def test_the_request_takes_as_many_queries_for_many_works_as_for_none(show, works, django_assert_max_num_queries):
    show.works.filter(position__gt=works).delete()
    with django_assert_max_num_queries(16):
        read_plan_request(show)

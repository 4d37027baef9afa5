"""Staircases kept: quick ones after an edit, exact ones after them."""

import pytest

from campaign.models import FixedPlan, Show, StaircaseRun
from campaign.planning import build_staircase
from campaign.queries.plan_request import dump_request, load_request, read_plan_request
from campaign.queries.standing import dump_staircase, find_run, load_run_request, load_staircase, read_standing
from campaign.services.plans import (
    refresh_quick,
    refresh_staircase,
    refresh_stale_staircases,
    touch_inputs,
)
from tests.builders import NOW, make_show

pytestmark = pytest.mark.django_db


@pytest.fixture
def show():
    return make_show()


def _edit(show, price_minor):
    show.price_items.filter(code="moulding").update(price_minor=price_minor)
    touch_inputs(show)


def test_after_an_edit_a_quick_staircase_is_there_at_once(show):
    _edit(show, 100)
    run = refresh_quick(show=show, now=NOW)
    assert run.is_quick
    assert find_run(show) == run
    assert read_standing(show).is_fresh


def test_what_pages_are_given_after_an_edit_is_what_was_written(show):
    _edit(show, 100)
    run = refresh_quick(show=show, now=NOW)
    written = StaircaseRun.objects.get(pk=run.pk)

    assert dump_staircase(load_staircase(run)) == dump_staircase(load_staircase(find_run(show))) == written.steps
    assert dump_request(load_run_request(find_run(show))) == written.request
    assert load_run_request(find_run(show)) == load_request(written.request) == read_plan_request(show)
    assert (run.steps, run.request) == (written.steps, written.request)


def test_quick_staircase_bounds_the_exact_one(show):
    _edit(show, 100)
    quick = load_staircase(refresh_quick(show=show, now=NOW))
    exact = build_staircase(read_plan_request(show))
    for step in exact.steps:
        assert quick.at(step.money_minor).worth <= step.worth <= quick.at(step.money_minor).bound_worth


def test_exact_staircase_follows_and_takes_the_place_of_the_quick_one(show):
    _edit(show, 100)
    refresh_quick(show=show, now=NOW)
    assert refresh_stale_staircases(now=NOW) == 1
    run = find_run(show)
    assert not run.is_quick
    assert not StaircaseRun.objects.filter(is_quick=True).exists()
    assert refresh_quick(show=show, now=NOW) == run
    assert refresh_stale_staircases(now=NOW) == 0


def test_an_edit_taken_back_finds_its_exact_staircase_again(show):
    exact = find_run(show)
    price = show.price_items.get(code="moulding").price_minor
    _edit(show, 100)
    refresh_quick(show=show, now=NOW)
    _edit(show, price)
    assert refresh_quick(show=show, now=NOW).pk == exact.pk
    assert refresh_stale_staircases(now=NOW) == 0


def test_exact_staircase_is_preferred_to_a_quick_one_of_the_same_inputs(show):
    exact = find_run(show)
    StaircaseRun.objects.create(
        show=show,
        inputs_version=exact.inputs_version,
        fingerprint=exact.fingerprint,
        code_version=exact.code_version,
        steps=exact.steps,
        request=exact.request,
        is_quick=True,
        milliseconds=1,
        computed_at=NOW,
    )
    assert find_run(show) == exact
    assert refresh_staircase(show=Show.objects.get(pk=show.pk), now=NOW) == exact


def test_asking_twice_computes_nothing_twice(show):
    _edit(show, 100)
    assert refresh_quick(show=show, now=NOW).pk == refresh_quick(show=show, now=NOW).pk
    assert StaircaseRun.objects.filter(is_quick=True).count() == 1


def test_an_edit_that_spoils_no_known_show_makes_none_worse_even_before_the_proof(show):
    known = load_staircase(find_run(show))
    _edit(show, 100)  # cheaper: every known show costs no more than before
    quick = load_staircase(refresh_quick(show=show, now=NOW))
    for step in known.steps:
        assert quick.at(step.money_minor).worth >= step.worth


def test_only_the_newest_exact_staircases_are_kept_and_those_a_plan_was_read_from(show, monkeypatch):
    monkeypatch.setattr("campaign.services.plans.KEPT_RUNS", 2)
    first = find_run(show)
    FixedPlan.objects.create(show=show, run=first, money_minor=0, cost_minor=0, worth=0, plan={}, fixed_at=NOW)
    for price_minor in (100, 101, 102):
        _edit(show, price_minor)
        last = refresh_staircase(show=show, now=NOW)
    kept = list(StaircaseRun.objects.filter(show=show))
    assert len(kept) == 3
    assert first in kept and kept[0] == last == find_run(show)

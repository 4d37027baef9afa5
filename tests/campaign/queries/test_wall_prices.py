"""The price list of the works that hang, and what making each of them costs."""

from dataclasses import replace

import pytest

from campaign.queries.standing import read_standing
from campaign.queries.wall_prices import list_wanted, read_wall_prices, stored_terms
from campaign.services.campaigns import close_campaign
from campaign.services.plans import refresh_staircase
from campaign.services.pricing import set_wanted_sums
from tests.builders import NOW, pay, place


@pytest.fixture
def hung(show):
    """Enough money for everything, and a wanted sum for two works."""
    for _ in range(9):
        pay(place(show, copies=2))
    nets = {"w01": 7_500, "w02": 12_000}
    set_wanted_sums(show=show, nets=nets, round_to_minor=500, frames_pass_through=False)
    refresh_staircase(show=show, now=NOW)
    show.refresh_from_db()
    return show


def page_of(show, **tried):
    return read_wall_prices(show, trial=replace(stored_terms(show), **tried))


def test_works_that_hang_are_offered_for_what_leaves_the_wanted_sum(hung):
    page = page_of(hung)
    assert [(one.sale.work.code, one.sale.price_minor) for one in page.works] == [("w01", 11_000), ("w02", 17_500)]
    assert page.total.price_minor == 28_500
    assert page.total.gallery_minor + page.total.artist_minor == 28_500
    assert "Net loft" in page.unpriced
    assert page.hanging == len(page.works) + len(page.unpriced)


def test_making_is_the_work_s_part_of_the_plan(hung):
    plan = read_standing(hung).now
    costs = {work.code: work.cost_minor for work in plan.works}
    for one in page_of(hung).works:
        assert one.sale.work.make_minor == costs[one.sale.work.code]
        assert 0 < one.sale.work.frame_minor < one.sale.work.make_minor


def test_another_share_is_tried_without_being_kept(hung):
    page = page_of(hung, commission_bp=5_000, frames_pass_through=True, steps=3, raise_bp=2_000)
    assert page.steps == (2, 3)
    one = page.works[0]
    assert [sale.work.net_minor for sale in one.later] == [9_000, 10_500]
    assert one.sale.gallery_minor < one.sale.price_minor // 2
    hung.refresh_from_db()
    assert (hung.commission_bp, hung.frames_pass_through) == (3_000, False)


def test_before_anything_hangs_nothing_is_priced(show):
    page = page_of(show)
    assert (page.works, page.hanging, page.total.price_minor) == ((), 0, 0)
    assert len(list_wanted(show)) == 6


def test_what_open_orders_would_hang_is_priced_while_the_money_hangs_nothing(show):
    place(show, copies=3)
    assert page_of(show).hanging > 0


def test_after_the_close_the_fixed_plan_is_priced(hung):
    close_campaign(show=hung, now=NOW)
    hung.refresh_from_db()
    page = page_of(hung)
    assert page.is_fixed
    assert [one.sale.work.code for one in page.works] == ["w01", "w02"]

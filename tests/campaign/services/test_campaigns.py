"""Publishing, levels, closing: the campaign's life."""

import pytest

from campaign.errors import NotInThisState, NotReady
from campaign.models import FixedPlan, Show, Studio
from campaign.queries.standing import read_standing
from campaign.services import campaigns
from campaign.services.campaigns import LevelWish
from campaign.services.plans import refresh_staircase
from campaign.services.prices import PriceWish, save_price
from tests.builders import NOW, make_draft, pay, place


def test_a_show_is_published_once(db):
    show = make_draft()
    assert campaigns.publish_show(show=show, now=NOW).state == Show.State.OPEN
    assert campaigns.publish_show(show=show, now=NOW).state == Show.State.OPEN


def test_a_show_without_levels_or_after_its_closing_date_is_not_published(db):
    show = make_draft()
    with pytest.raises(NotReady, match="closing"):
        campaigns.publish_show(show=show, now=show.closes_at)
    show.levels.all().delete()
    with pytest.raises(NotReady, match="level"):
        campaigns.publish_show(show=show, now=NOW)


def test_a_show_that_nobody_could_order_from_is_not_published(db):
    show = make_draft()
    Studio.objects.update(iban="", cheque_payee="", cash_note="")
    with pytest.raises(NotReady, match="no way of paying"):
        campaigns.publish_show(show=show, now=NOW)
    show.postage_rates.filter(zone__in=["Germany", "World"]).delete()
    with pytest.raises(NotReady, match="your own country"):
        campaigns.publish_show(show=show, now=NOW)
    show.editions.get().copies.all().delete()
    show.editions.all().delete()
    with pytest.raises(NotReady, match="no print"):
        campaigns.publish_show(show=show, now=NOW)


def test_closing_fixes_the_plan_to_the_money_in_hand(show):
    for _ in range(4):
        pay(place(show, copies=2))
    place(show)
    standing = read_standing(show)
    fixed = campaigns.close_campaign(show=show, now=NOW)
    assert fixed.money_minor == standing.in_hand_minor
    assert (fixed.cost_minor, fixed.worth) == (standing.now.cost_minor, standing.now.worth)
    assert [w["code"] for w in fixed.plan["works"]] == [w.code for w in standing.now.works]
    show.refresh_from_db()
    assert show.state == Show.State.CLOSED


def test_closing_twice_keeps_the_first_plan(show):
    first = campaigns.close_campaign(show=show, now=NOW)
    assert campaigns.close_campaign(show=show, now=NOW) == first
    assert FixedPlan.objects.count() == 1


def test_an_edit_that_slips_in_before_the_close_is_in_the_plan(show):
    stale = refresh_staircase(show=show, now=NOW)
    save_price(show=show, item=None, wish=PriceWish(name="Hooks", unit="piece", price_minor=100))
    assert campaigns._close(show_pk=show.pk, run=stale, now=NOW) is None
    show.refresh_from_db()
    assert show.state == Show.State.OPEN
    assert campaigns.close_campaign(show=show, now=NOW).run.inputs_version == show.inputs_version


def test_a_draft_cannot_be_closed(db):
    show = make_draft()
    with pytest.raises(NotInThisState):
        campaigns.close_campaign(show=show, now=NOW)
    assert not FixedPlan.objects.exists()


def test_levels_are_replaced_in_order_of_money(show):
    wishes = [LevelWish("Two", "", 20_000), LevelWish("One", "", 10_000)]
    assert [level.name for level in campaigns.set_levels(show=show, levels=wishes)] == ["One", "Two"]
    assert show.levels.count() == 2


def test_two_levels_at_one_sum_are_refused(show):
    wishes = [LevelWish("Two", "", 20_000), LevelWish("One", "", 20_000)]
    with pytest.raises(NotReady):
        campaigns.set_levels(show=show, levels=wishes)
    assert show.levels.count() == 3


def test_levels_stand_once_the_campaign_is_closed(show):
    campaigns.close_campaign(show=show, now=NOW)
    with pytest.raises(NotInThisState):
        campaigns.set_levels(show=show, levels=[])

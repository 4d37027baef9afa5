"""The page of the print's price: the same sums as an order really makes, and nothing is stored by trying."""

from dataclasses import replace

import pytest

from campaign.models import Edition, PostageRate
from campaign.queries.money import read_money
from campaign.queries.post_zones import country_words
from campaign.queries.print_prices import read_print_prices, stored_figures
from campaign.services.payments import record_other_money
from tests.builders import LONDON_ADDRESS, NOW, make_draft, pay, place


@pytest.fixture
def opened(db):
    """Taking orders; only a test that asks for steps needs the engine."""
    return make_draft(state="open", set_aside_bp=700)


def page_of(show, **tried):
    edition = show.editions.get(code="harbour")
    stored = stored_figures(show, edition=edition, today=NOW.date())
    return read_print_prices(show, edition=edition, trial=replace(stored, **tried), today=NOW.date())


def test_a_copy_leaves_what_a_paid_order_leaves(opened):
    pay(place(opened))
    page = page_of(opened)
    assert page.home.net.net_minor == read_money(opened).in_hand.total_minor
    assert page.copies_sold == 1


def test_zones_in_the_order_of_the_table_with_their_countries(opened):
    page = page_of(opened)
    assert [(zone.net.zone.name, zone.is_home, zone.countries) for zone in page.zones] == [
        ("Germany", True, "Germany"),
        ("Europe", False, "Austria, France, Ireland, Netherlands, United Kingdom"),
        ("World", False, "everywhere else"),
    ]
    assert page.zones[1].net.zone.charge_minor == 890


def test_a_third_abroad_divides_as_the_orders_came(opened):
    assert [zone.copies for zone in page_of(opened).zones] == [14, 3, 3]
    place(opened, address=LONDON_ADDRESS)
    assert [zone.copies for zone in page_of(opened).zones] == [13, 7, 0]
    assert [zone.copies for zone in page_of(opened, abroad_bp=0).zones] == [20, 0, 0]


def test_levels_that_all_copies_do_not_reach_say_what_they_bring(opened):
    page = page_of(opened, price_minor=2_000)
    last = page.goals[-1]
    assert (last.name, last.home.copies, last.home.all_copies) == ("The room", None, 20)
    assert last.home.all_minor == 20 * page.home.net.net_minor


def test_copies_still_to_sell_start_from_the_money_in_hand(opened):
    for _ in range(4):
        pay(place(opened, copies=2))
    page = page_of(opened, abroad_bp=0)
    corner, wall, room = page.goals
    assert corner.still.copies == 0
    assert wall.still.copies == max(0, wall.home.copies - 8)
    assert room.still.all_copies == 12
    assert room.home.copies - 8 - 1 <= room.still.copies <= room.home.copies - 8 + 1


def test_the_first_step_that_hangs_anything_is_a_goal_too(show):
    names = [goal.name for goal in page_of(show).goals]
    assert names == ["The first works hang", "A corner", "A wall", "The room"]


def test_other_money_counts_and_costs_have_to_be_covered(opened):
    record_other_money(
        show=opened, key="own", kind="own", amount_minor=10_000, happened_on=NOW.date(), text="Own", now=NOW
    )
    record_other_money(
        show=opened, key="cost", kind="cost", amount_minor=6_000, happened_on=NOW.date(), text="Cards", now=NOW
    )
    pay(place(opened, copies=0, gift_minor=1_000))
    page = page_of(opened)
    assert page.other_minor == 10_000 + 930 - 6_000
    assert page.break_even.copies == 2
    assert page_of(opened, costs_minor=16_000).goals[0].still.copies > page.goals[0].still.copies
    assert page_of(opened, costs_minor=0).break_even is None


def test_what_is_set_aside_is_a_share_of_what_the_tax_leaves(opened):
    lines = {line.text: line.amount_minor for line in page_of(opened, tax_bp=1_900).home.net.lines}
    gross = lines["Price of the print"] + lines["Postage that the backer pays"]
    assert lines["Tax inside"] == -round(gross * 19 / 119)
    assert lines["Set aside for tax"] == -round((gross + lines["Tax inside"]) * 0.07)


def test_the_last_copies_may_be_tried_at_another_price(opened):
    page = page_of(opened, last_copies=5, last_price_minor=9_000)
    assert page.all_minor > page.plain_minor
    assert page_of(opened).all_minor == page.plain_minor
    assert page_of(opened, last_copies=5).all_minor == page.plain_minor


def test_trying_stores_nothing(opened):
    before = list(Edition.objects.values())
    page_of(opened, price_minor=1, make_minor=1)
    assert list(Edition.objects.values()) == before


def test_without_postage_only_the_print_is_there(opened):
    PostageRate.objects.all().delete()
    page = page_of(opened)
    assert (page.zones, page.goals, page.drawn, page.home) == ((), (), None, None)


def test_without_the_own_country_everybody_lives_abroad(opened):
    PostageRate.objects.exclude(zone="Europe").delete()
    page = page_of(opened)
    assert page.home is None
    assert [zone.copies for zone in page.zones] == [20]


def test_many_countries_are_named_in_part():
    assert country_words(["DE", "FR"]) == "France, Germany"
    assert country_words(["AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE"]).endswith("and 2 more")


def test_queries_do_not_grow_with_orders(opened, django_assert_max_num_queries):
    for _ in range(3):
        place(opened)
    with django_assert_max_num_queries(16):
        page_of(opened)

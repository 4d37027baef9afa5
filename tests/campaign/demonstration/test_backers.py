from campaign.demonstration.backers import DEMONSTRATION_MONEY, DEMONSTRATION_PLEDGES, DEMONSTRATION_UPDATES
from campaign.demonstration.papers import EDITION, POSTAGE
from campaign.showfolder.countries import EU_MEMBERS


def test_every_address_holds_by_its_country_s_rules():
    for pledge in DEMONSTRATION_PLEDGES:
        address = pledge.postal_address
        assert bool(address) == bool(pledge.copies)
        if address:
            assert (address["name"], address["country_code"]) == (pledge.name, pledge.country_code)


def test_mail_goes_to_example_domains_only():
    assert all(pledge.email.endswith(("@example.org", "@example.net")) for pledge in DEMONSTRATION_PLEDGES)
    assert len({pledge.email for pledge in DEMONSTRATION_PLEDGES}) == len(DEMONSTRATION_PLEDGES) == 14


def test_backers_come_from_many_countries_and_pay_in_every_way():
    assert {pledge.country_code for pledge in DEMONSTRATION_PLEDGES} >= {"DE", "GB", "FR", "US", "CA", "JP", "NL", "IE"}
    assert {pledge.way for pledge in DEMONSTRATION_PLEDGES} == {"transfer", "cheque", "cash"}


def test_open_orders_are_younger_than_their_hold_and_all_within_the_campaign():
    assert all(pledge.days_ago <= 6 for pledge in DEMONSTRATION_PLEDGES if not pledge.is_paid)
    assert all(
        0 < each.days_ago <= 12 for each in (*DEMONSTRATION_PLEDGES, *DEMONSTRATION_UPDATES, *DEMONSTRATION_MONEY)
    )


def test_nobody_orders_more_than_one_may():
    limit = EDITION[1][EDITION[0].index("limit per person")]
    assert all(pledge.copies <= limit for pledge in DEMONSTRATION_PLEDGES)


def test_money_kinds_are_those_of_the_cash_book():
    assert {line.kind for line in DEMONSTRATION_MONEY} <= {"own", "sponsor", "grant", "cost"}


def _minor(cell):
    return int(str(cell).replace(",", ""))


def _net_minor(pledge):
    """What an order leaves for the walls: 7 % set aside, making and packing, the post."""
    zone = 1 if pledge.country_code == "DE" else 4 if pledge.country_code in EU_MEMBERS else 7
    parcels = [pledge.copies + pledge.cards - 1, 1] if pledge.friend else [pledge.copies + pledge.cards]
    rows = [POSTAGE[zone if copies == 1 else zone + 1] for copies in parcels if copies]
    charge, cost = (sum(_minor(row[column]) for row in rows) for column in (3, 4))
    total = 4200 * pledge.copies + 1400 * pledge.cards + charge + pledge.gift_minor
    return total - total * 7 // 100 - 600 * pledge.copies - 170 * pledge.cards - cost


def test_money_in_hand_lies_between_the_first_two_levels_and_all_of_it_comes_near_the_second():
    other = sum(-line.amount_minor if line.kind == "cost" else line.amount_minor for line in DEMONSTRATION_MONEY)
    paid = other + sum(_net_minor(pledge) for pledge in DEMONSTRATION_PLEDGES if pledge.is_paid)
    everything = other + sum(_net_minor(pledge) for pledge in DEMONSTRATION_PLEDGES)
    assert 45_000 < paid * 95 // 100 < 60_000
    assert 70_000 < everything * 95 // 100 < 75_000

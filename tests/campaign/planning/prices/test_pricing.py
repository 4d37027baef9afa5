"""One ordered print opened into its lines, and how many of them it takes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.money import portion_bp
from campaign.planning.costing.quantities import Wording
from campaign.planning.errors import InvalidRequest
from campaign.planning.prices.pricing import (
    Buyers,
    CopyTerms,
    PostZone,
    PriceRun,
    copies_for,
    dearer_end,
    mix_buyers,
    money_by_copies,
    net_minor,
    net_of_copy,
    runs_after,
    share_copies,
)

EURO = Wording("EUR")
HOME = PostZone("Germany", charge_minor=490, cost_minor=450)
AWAY = PostZone("Europe", charge_minor=890, cost_minor=820)
FAR = PostZone("World", charge_minor=1_690, cost_minor=1_890)
TERMS = CopyTerms(make_minor=420, pack_minor=180, fee_bp=290, fee_fixed_minor=30, set_aside_bp=700)

MONEY = st.integers(0, 50_000)
SHARES = st.integers(0, 9_999)


@st.composite
def zones(draw):
    return PostZone("somewhere", charge_minor=draw(MONEY), cost_minor=draw(MONEY))


@st.composite
def terms(draw):
    return CopyTerms(*(draw(MONEY) for _ in range(2)), draw(SHARES), draw(MONEY), draw(SHARES), draw(SHARES))


def test_a_copy_is_opened_into_lines_with_their_sums_in_words():
    found = net_of_copy(TERMS, price_minor=4_500, zone=HOME, wording=EURO)
    assert [(line.text, line.arithmetic, line.amount_minor) for line in found.lines] == [
        ("Price of the print", "", 4_500),
        ("Postage that the backer pays", "Germany", 490),
        ("Set aside for tax", "7 % of €49.90", -349),
        ("Fee of the payment processor, estimated", "2.9 % of €49.90 + €0.30", -175),
        ("Making the print", "", -420),
        ("Packing it", "", -180),
        ("Posting it", "Germany", -450),
    ]
    assert found.net_minor == 3_416


def test_a_rate_inside_the_price_is_taken_off_the_whole():
    found = net_of_copy(CopyTerms(tax_bp=2_000), price_minor=11_000, zone=PostZone("x", 1_000), wording=EURO)
    assert found.lines[-1].arithmetic == "20 % inside €120.00"
    assert (found.lines[-1].amount_minor, found.net_minor) == (-2_000, 10_000)


def test_parts_that_are_nothing_have_no_line():
    found = net_of_copy(CopyTerms(), price_minor=0, zone=PostZone("x"), wording=EURO)
    assert [line.text for line in found.lines] == ["Price of the print"]


@given(terms(), MONEY, zones())
def test_lines_add_up_to_the_net(terms, price, zone):
    found = net_of_copy(terms, price_minor=price, zone=zone, wording=EURO)
    assert sum(line.amount_minor for line in found.lines) == found.net_minor
    assert found.net_minor == net_minor(terms, price_minor=price, zone=zone)


@pytest.mark.parametrize("field", ["make_minor", "fee_bp", "tax_bp"])
def test_terms_below_nothing_are_refused(field):
    with pytest.raises(InvalidRequest, match=field):
        CopyTerms(**{field: -1})


def test_a_third_abroad_divides_by_how_orders_have_come_so_far():
    buyers = mix_buyers([HOME, AWAY, FAR], home=0, abroad_bp=3_333, abroad=[9, 3, 1])
    assert share_copies(60, buyers=buyers) == (40, 15, 5)


@pytest.mark.parametrize("abroad", [(), (0, 0, 0), (7, 0, 0)])
def test_without_orders_from_abroad_all_zones_are_alike(abroad):
    buyers = mix_buyers([HOME, AWAY, FAR], home=0, abroad_bp=5_000, abroad=abroad)
    assert share_copies(40, buyers=buyers) == (20, 10, 10)


def test_everybody_lives_where_something_is_posted():
    assert mix_buyers([HOME], home=0, abroad_bp=3_333).weights == (1,)
    assert share_copies(9, buyers=mix_buyers([AWAY, FAR], home=None, abroad_bp=0)) == (5, 4)


def test_one_more_copy_adds_what_its_buyer_leaves():
    buyers = mix_buyers([HOME, AWAY], home=0, abroad_bp=5_000)
    home, away = (net_minor(TERMS, price_minor=4_500, zone=zone) for zone in (HOME, AWAY))
    money = money_by_copies(TERMS, runs=[PriceRun(3, 4_500)], buyers=buyers)
    assert money == (0, home, home + away, 2 * home + away)


def test_the_last_copies_may_cost_more():
    runs = dearer_end(copies=5, price_minor=4_000, last=2, last_price_minor=6_000)
    money = money_by_copies(CopyTerms(), runs=runs, buyers=Buyers((PostZone("x"),), (1,)))
    assert money == (0, 4_000, 8_000, 12_000, 18_000, 24_000)
    assert dearer_end(copies=5, price_minor=4_000, last=9, last_price_minor=6_000) == (PriceRun(5, 6_000),)
    assert dearer_end(copies=5, price_minor=4_000, last=0, last_price_minor=6_000) == (PriceRun(5, 4_000),)


@given(st.lists(st.integers(0, 9), max_size=4), st.integers(0, 40))
def test_what_is_left_and_what_is_sold_make_the_edition(counts, sold):
    runs = [PriceRun(count, 100 * number) for number, count in enumerate(counts)]
    flat = [run.price_minor for run in runs for _ in range(run.copies)]
    left = [run.price_minor for run in runs_after(runs, sold=sold) for _ in range(run.copies)]
    assert left == flat[sold:]


@given(terms(), st.lists(zones(), min_size=1, max_size=4), st.integers(0, 30), MONEY, st.integers(0, 10_000))
def test_every_copy_is_sold_to_somebody(terms, zones, copies, price, abroad_bp):
    buyers = mix_buyers(zones, home=0, abroad_bp=abroad_bp)
    shares = share_copies(copies, buyers=buyers)
    assert sum(shares) == copies
    money = money_by_copies(terms, runs=[PriceRun(copies, price)], buyers=buyers)
    nets = [net_minor(terms, price_minor=price, zone=zone) for zone in zones]
    assert len(money) == copies + 1
    assert money[-1] == sum(share * net for share, net in zip(shares, nets, strict=True))


def test_a_level_that_all_copies_do_not_reach_says_what_they_bring():
    found = copies_for(179_000, money=[n * 2_500 for n in range(61)], other_minor=-2_000)
    assert (found.copies, found.all_copies, found.all_minor) == (None, 60, 148_000)


def test_a_level_that_other_money_reaches_takes_no_copy():
    found = copies_for(1_000, money=[0, 500], other_minor=1_200)
    assert (found.copies, found.before_minor, found.beyond_minor) == (0, 0, 200)


def test_what_is_kept_for_the_unforeseen_has_to_be_earned_too():
    money = [n * 1_000 for n in range(30)]
    assert copies_for(10_000, money=money).copies == 10
    assert copies_for(10_000, money=money, contingency_bp=1_000).copies == 12


@given(
    st.integers(1, 5_000), st.integers(-20_000, 100_000), st.integers(-50_000, 50_000), st.integers(0, 60), SHARES
)  # fmt: skip
def test_the_fewest_copies_reach_it_and_one_fewer_does_not(net, goal, other, copies, contingency_bp):
    found = copies_for(
        goal, money=[net * n for n in range(copies + 1)], other_minor=other, contingency_bp=contingency_bp
    )

    def wall(n):
        total = other + net * n
        return total - portion_bp(max(0, total), bp=contingency_bp)

    reaching = [n for n in range(copies + 1) if wall(n) >= goal]
    assert found.copies == (reaching[0] if reaching else None)
    assert found.all_minor == wall(copies)
    if found.copies:
        assert wall(found.copies - 1) == goal - found.before_minor < goal
    if found.copies is not None:
        assert wall(found.copies) == goal + found.beyond_minor

"""Wall money: every line of it, from real rows."""

from campaign.models import Show
from campaign.queries.money import read_money
from campaign.services import payments
from tests.builders import NOW, pay, place


def lines_of(wall_money):
    return {line.text: line.amount_minor for line in wall_money.lines}


def test_wall_money_in_hand_counts_complete_orders_less_what_they_cost(show):
    paid = place(show, copies=2)
    pay(paid, fee_minor=50)
    place(show)
    picture = read_money(show)
    # 2 × 45.00 + 4.90 postage; make 2 × 4.20, pack 2 × 1.80, post 4.50; fee 0.50
    assert picture.in_hand.total_minor == 9_490 - 50 - 840 - 360 - 450
    assert sum(lines_of(picture.in_hand).values()) == picture.in_hand.total_minor
    assert (picture.copies_spoken_for, picture.copies_held, picture.open_pledges) == (2, 1, 1)


def test_wall_money_if_paid_adds_open_orders_with_their_costs(show):
    place(show)
    picture = read_money(show)
    assert picture.in_hand.total_minor == 0
    assert picture.if_paid.total_minor == 4_990 - 420 - 180 - 450
    assert picture.open_minor == 4_990


def test_a_part_payment_is_not_wall_money(show):
    pay(place(show), amount_minor=1_000)
    picture = read_money(show)
    assert picture.in_hand.total_minor == 0
    assert picture.received_minor == 1_000
    assert picture.owed_back_minor == 0
    assert picture.open_minor == 3_990


def test_set_aside_and_contingency_are_kept_back(show):
    Show.objects.filter(pk=show.pk).update(set_aside_bp=1_000, contingency_bp=500)
    show.refresh_from_db()
    pay(place(show, copies=0, gift_minor=10_000))
    lines = lines_of(read_money(show).in_hand)
    assert lines["Tax set aside"] == -1_000
    assert lines["Kept for the unforeseen"] == -450


def test_no_contingency_is_kept_from_debt(show):
    Show.objects.filter(pk=show.pk).update(contingency_bp=500)
    show.refresh_from_db()
    payments.record_other_money(
        show=show, key="k", kind="cost", amount_minor=5_000, happened_on=NOW.date(), text="x", now=NOW
    )
    assert read_money(show).in_hand.total_minor == -5_000


def test_money_takes_two_queries_whatever_the_number_of_orders(show, django_assert_num_queries):
    for _ in range(4):
        pay(place(show))
    with django_assert_num_queries(2):
        read_money(show)

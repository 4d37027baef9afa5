"""The studio's sentences: standing, next step, what to do, what an edit did."""

from dataclasses import replace

from campaign.models import Copy, Edition, Show, Size
from campaign.queries.advice import list_open_pledges, net_of_copy, next_step_sentence, standing_sentence, what_to_do
from campaign.queries.next_act import (
    FINISHES,
    LEVELS,
    POSTAGE,
    PRINT,
    PRINTER,
    PUBLISH,
    SIZES,
    WALLS,
    WORKS,
    find_next_act,
)
from campaign.queries.standing import read_standing
from campaign.services.campaigns import close_campaign
from tests.builders import NOW, make_draft, pay, place


def advice(show):
    standing = read_standing(show)
    return what_to_do(standing, editions=list(show.editions.all()), open_pledges=list_open_pledges(show))


def test_an_empty_campaign_names_the_first_step(show):
    standing = read_standing(show)
    assert (
        standing_sentence(standing, plan=standing.now)
        == "With €0.00 of wall money in hand, none of the 6 works hangs yet."
    )
    sentence = next_step_sentence(standing, plan=standing.now)
    assert sentence.startswith("€")
    assert " more hangs “" in sentence
    assert advice(show) == (
        "€100.00 is missing to “A corner”: 3 more copies of “Harbour light” would do it "
        "(each brings €39.00, postage apart)."
    )


def test_open_orders_are_named_with_the_one_that_ends_first(show):
    place(show, name="Iris", copies=3)
    place(show, name="Noor")
    standing = read_standing(show)
    assert "once all 2 open orders are paid, " in standing_sentence(standing, plan=standing.now)
    assert advice(show).endswith("2 orders wait for €189.80; the first to end is that of Iris, on 20 March.")


def test_the_top_of_the_staircase_says_so(show):
    show.levels.all().delete()
    for _ in range(20):
        pay(place(show, gift_minor=10_000))
    standing = read_standing(show)
    assert next_step_sentence(standing, plan=standing.now) == (
        "This is the best show there is: more money would not change it."
    )
    assert advice(show) == "Every level is reached."


def test_a_show_that_nothing_can_hang_in_does_not_call_itself_the_best(show):
    now = replace(read_standing(show).now, works=(), next_money_minor=None)
    sentence = next_step_sentence(read_standing(show), plan=now)
    assert sentence == "No sum of money hangs anything, as things are measured and priced now."


def test_a_show_being_prepared_names_what_is_missing_most(show):
    show.state = Show.State.DRAFT
    standing = read_standing(show)
    empty = replace(standing, request=replace(standing.request, works=()))
    assert standing_sentence(empty, plan=replace(empty.now, works=())).endswith("no work is listed yet.")
    assert what_to_do(empty, editions=[], open_pledges=[]) == ""
    assert find_next_act(show) == PUBLISH
    Copy.objects.all().delete()
    for rows, act in (
        (show.levels, LEVELS), (show.postage_rates, POSTAGE), (show.editions, PRINT), (show.finishes, FINISHES),
        (show.works, WORKS), (show.walls, WALLS),
    ):  # fmt: skip
        rows.all().delete()
        assert find_next_act(show) == act


def test_a_show_whose_works_have_no_size_or_no_printer_time_says_so(show, django_assert_num_queries):
    show.state = Show.State.DRAFT
    show.printer_seconds = 0
    assert find_next_act(show) == PRINTER
    show.finishes.filter(pk=show.finishes.first().pk).update(is_printed_at_home=False)
    assert find_next_act(show) == PUBLISH
    Size.objects.all().delete()
    with django_assert_num_queries(1):
        assert find_next_act(show) == SIZES


def test_too_few_copies_and_copies_that_bring_nothing_are_said(show):
    show.levels.exclude(name="A wall").delete()
    show.levels.update(money_minor=200_000)
    assert "and 20 are free" in advice(show)
    Edition.objects.update(make_cost_minor=9_000)
    assert "costs more than it brings" in advice(show)


def test_what_a_copy_brings_leaves_out_what_is_set_aside_and_kept(show):
    edition = show.editions.get()
    show.set_aside_bp, show.contingency_bp = 1_000, 500
    assert net_of_copy(edition, show=show) == 4_500 - 420 - 180 - 450 - 172
    show.fee_bp, show.fee_fixed_minor = 290, 30  # 130 and 30 of 45.00
    assert net_of_copy(edition, show=show) == 4_500 - 420 - 180 - 450 - 160 - 164


def test_a_draft_is_told_to_publish_and_a_closed_show_to_print(db, show):
    assert find_next_act(make_draft(code="other")) == PUBLISH
    close_campaign(show=show, now=NOW)
    show.refresh_from_db()
    assert advice(show).startswith("Print what hangs")

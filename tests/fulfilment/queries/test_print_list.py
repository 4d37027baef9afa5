"""The print list: what hangs and is printed at home, what is ordered and paid for, and what became of each."""

import pytest
from django.urls import reverse

from campaign.models import Show
from fulfilment.models import PaperStock
from fulfilment.queries.paper_stock import read_papers, spares_of
from fulfilment.queries.print_list import read_print_list
from fulfilment.services.copy_events import spoil_copies
from fulfilment.services.paper_stock import ChoiceWish, choose_papers
from fulfilment.services.show_prints import spoil_show_prints, tick_show_prints
from tests.builders import place
from tests.fulfilment.paper_scene import hung_show, set_up, wall_prints
from tests.fulfilment.scene import LATER, edition_of, order, print_all

KEY = "0b1f6a0e-9a56-4f0e-8d0c-0d6f5f4d2d11"


def test_prints_for_the_walls_are_those_of_the_fixed_plan(show):
    hung_show(show)
    listed = read_print_list(show)
    planned = {(work["code"], work["size_code"], work["finish_code"]) for work in show.fixed_plan.plan["works"]}
    assert listed.is_fixed
    assert {line.chosen for line in listed.wall} == planned
    assert len({line.key for line in listed.lines}) == len(listed.lines) == len(planned) + 15


def test_before_the_close_they_are_those_that_the_money_buys(show):
    assert read_print_list(show).wall == ()
    for _ in range(3):
        order(show, copies=3)
    listed = read_print_list(show)
    assert listed.wall and not listed.is_fixed and listed.is_fresh


def test_a_print_has_the_white_border_of_its_finish(show):
    hung_show(show)
    for line in read_print_list(show).wall:
        work, size, finish = line.chosen
        own = show.works.get(code=work).sizes.get(code=size)
        border = show.finishes.get(code=finish).border_mm
        assert (line.width_mm, line.height_mm) == (own.width_mm + 2 * border, own.height_mm + 2 * border)


def test_what_is_printed_elsewhere_is_counted_and_not_listed(show):
    hung_show(show)
    count = len(read_print_list(show).wall)
    show.finishes.update(is_printed_at_home=False)
    listed = read_print_list(show)
    assert (listed.wall, listed.elsewhere) == ((), count)


def test_only_copies_that_are_paid_for_are_listed(show):
    order(show, copies=2)
    place(show)
    assert [line.label for line in read_print_list(show).copies] == ["A1", "A2"]


def test_a_printed_one_is_done_and_a_spoiled_one_is_to_be_printed_again(show):
    hung_show(show)
    first, second, *_ = wall_prints(show)
    tick_show_prints(show=show, chosen=[first, second], by="", now=LATER)
    spoil_show_prints(show=show, chosen=[second], note="", by="", request_key=KEY, now=LATER)
    print_all(show)
    spoil_copies(edition=edition_of(show), numbers=[4], note="", by="", request_key=KEY, now=LATER)
    listed = read_print_list(show)
    state = {line.chosen or line.copy: (line.printed_at is not None, line.history.spoilings) for line in listed.lines}
    assert state[first] == (True, 0)
    assert state[second] == (False, 1)
    assert state["harbour", 4] == (False, 1)
    assert state["harbour", 5] == (True, 0)
    assert listed.spoiled == 2


def test_a_show_called_off_prints_nothing(show):
    hung_show(show)
    Show.objects.filter(pk=show.pk).update(state=Show.State.CALLED_OFF)
    show.refresh_from_db()
    assert read_print_list(show).lines == ()


def test_the_only_paper_is_proposed_for_everything(show):
    stock = set_up(show)
    assert {use.paper for use in read_papers(show).uses} == {stock}
    assert {use.chosen for use in read_papers(show).uses} == {None}


def test_of_several_papers_the_one_that_the_recipe_takes_is_proposed(show):
    set_up(show, name="Rag")
    mine = set_up(show, name="Baryta", item_code="paper")
    papers = read_papers(show)
    assert {use.paper for use in papers.finishes} == {mine}
    assert papers.finishes[0].why == "its recipe takes Cotton paper 310 g"
    assert papers.editions[0].paper == mine, "the edition says Cotton paper 310 g"


def test_where_two_could_be_meant_none_is_proposed_and_the_list_says_so(show):
    hung_show(show)
    set_up(show, name="Rag")
    set_up(show, name="Baryta")
    listed = read_print_list(show)
    assert listed.without_paper == listed.to_print


@pytest.mark.parametrize(
    ("name", "item_code", "promised"),
    [("Rag 300", "", "Cotton paper 310 g"), ("Cotton paper 310 g, A3+", "", ""), ("The good roll", "paper", "")],
)
def test_an_edition_on_another_paper_than_it_promises_is_asked_about(ada_client, show, name, item_code, promised):
    set_up(show, name=name, item_code=item_code)
    assert read_papers(show).editions[0].promised == promised
    page = ada_client.get(reverse("fulfilment:paper_stock", args=[show.code])).content.decode()
    assert ("The edition promises" in page) == bool(promised)


def test_a_choice_stands_until_its_paper_is_taken_away(show):
    rag, baryta = set_up(show, name="Rag"), set_up(show, name="Baryta")
    choose_papers(show=show, wishes=[ChoiceWish(finish_code="board", paper_code="rag")])
    assert read_papers(show).of_finish("board").paper == rag
    PaperStock.objects.filter(pk=rag.pk).delete()
    assert read_papers(show).of_finish("board").paper == baryta


def test_the_border_of_an_edition_makes_its_prints_larger(show):
    set_up(show)
    order(show)
    choose_papers(show=show, wishes=[ChoiceWish(edition_code="harbour", border_mm=15)])
    [line] = read_print_list(show).copies
    assert (line.width_mm, line.height_mm, line.border_mm) == (297 + 30, 210 + 30, 15)
    choose_papers(show=show, wishes=[ChoiceWish(edition_code="harbour")])
    [line] = read_print_list(show).copies
    assert line.width_mm == 297


@pytest.mark.parametrize(
    ("prints", "spoil_bp", "more", "kept"),
    [
        (0, 500, 3, 0),
        (1, 500, 0, 1),
        (20, 500, 0, 1),
        (21, 500, 0, 2),
        (2, 0, 9, 2),
        (10, 0, 0, 0),
        (10, 10_000, 0, 10),
    ],
)
def test_paper_is_kept_back_by_share_and_number_and_for_no_more_than_there_are(show, prints, spoil_bp, more, kept):
    stock = PaperStock(spoil_bp=spoil_bp, spare_prints=more)
    assert spares_of(stock, prints=prints) == kept


def test_the_list_reads_in_few_queries_whatever_the_number_of_prints(show, django_assert_max_num_queries):
    hung_show(show)
    set_up(show)
    with django_assert_max_num_queries(14):
        read_print_list(show)

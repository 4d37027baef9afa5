"""Nests: everything to be printed has its place once, the drawing stays what it was, and what changed is said."""

import uuid
from dataclasses import replace
from datetime import timedelta

import pytest

from fulfilment.errors import NothingToLay
from fulfilment.models import Nest, PaperStock
from fulfilment.nesting import Spot, cut_apart
from fulfilment.queries.cut_drawings import (
    MOST_DRAWINGS,
    MOST_DRAWN_PRINTS,
    cut_figure,
    draw_all,
    draw_part,
    read_cutting,
    split_drawings,
)
from fulfilment.queries.nests import find_nest, load_parts, read_nest_page
from fulfilment.queries.print_list import read_print_list
from fulfilment.services.nests import lay_out
from fulfilment.services.paper_stock import ChoiceWish, PaperWish, choose_papers, remove_paper, save_paper
from fulfilment.services.production import tick_printed
from fulfilment.services.sheet_marks import SheetPrints, spoil_sheet, tick_sheet
from fulfilment.services.show_prints import spoil_show_prints, tick_show_prints
from tests.fulfilment.paper_scene import ROLL, framed_show, hung_show, lay, set_up, wall_prints
from tests.fulfilment.scene import LATER, edition_of, order


def has(state, chosen):
    return any(line is not None and line.chosen == chosen for line in state.lines)


def page_of(show, nest):
    return read_nest_page(nest, listed=read_print_list(show))


@pytest.mark.parametrize("kind", ["roll", "sheets"])
def test_every_print_to_be_made_lies_once_and_every_part_can_be_cut(show, kind):
    hung_show(show)
    set_up(show, kind=kind)
    tick_printed(edition=edition_of(show), numbers=[1, 2], now=LATER)
    nest = lay(show)
    wanted = sorted(line.key for line in read_print_list(show).to_print)
    laid = []
    for _, _, _, paper_laid in load_parts(nest.layout):
        assert paper_laid.too_large == ()
        for part in paper_laid.parts:
            cut_apart(part.spots, width_mm=part.width_mm, height_mm=part.height_mm)
            laid += [spot.code for spot in part.spots if not part.is_kept_back]
    assert sorted(laid) == wanted
    assert page_of(show, nest).is_current


def test_the_same_act_twice_is_one_nest(show):
    hung_show(show)
    set_up(show)
    key = uuid.uuid4()
    assert lay(show, key=key) == lay(show, key=key)
    assert Nest.objects.count() == 1


def test_the_same_prints_lie_the_same_way_again(show):
    hung_show(show)
    set_up(show)
    assert lay(show).layout == lay(show).layout


def test_what_is_there_is_counted_in_the_same_act(show):
    hung_show(show)
    set_up(show, kind="sheets")
    nest = lay(show, there={"cotton-sheets": 50})
    stock = PaperStock.objects.get()
    assert (stock.there_sheets, stock.counted_at) == (50, LATER)
    [(_, _, paper, laid)] = load_parts(nest.layout)
    assert paper.there_sheets == 50 and laid.bought == 0


def test_prints_for_the_walls_with_the_longest_framing_lie_first(show):
    framed_show(show)
    set_up(show, kind="sheets", width_mm=480, height_mm=640)
    leads = {line.key: line.framing_days for line in read_print_list(show).wall}
    [(_, _, _, laid)] = load_parts(lay(show).layout)
    needs = [max(leads.get(spot.code, -1) for spot in part.spots) for part in laid.parts if not part.is_kept_back]
    assert needs == sorted(needs, reverse=True)
    assert {4, -1} <= set(needs)


def test_nothing_to_lay_is_refused(show):
    with pytest.raises(NothingToLay):
        lay_out(show=show, there={}, request_key=uuid.uuid4(), now=LATER)
    hung_show(show)
    with pytest.raises(NothingToLay):
        lay(show)
    assert not Nest.objects.exists()


def test_a_printed_part_keeps_its_drawing(show):
    hung_show(show)
    set_up(show)
    nest = lay(show)
    tick_show_prints(show=show, chosen=wall_prints(show), by="", now=LATER)
    tick_printed(edition=edition_of(show), numbers=range(1, 16), now=LATER)
    page = page_of(show, nest)
    [paper] = page.papers
    assert paper.done == len(paper.states) - paper.kept_back > 0
    assert paper.next_part is None
    assert page.is_current
    for state in paper.states:
        assert draw_part(nest, paper=paper, state=state, unit="cm").drawn.prints


def test_a_print_that_is_spoiled_ordered_or_changed_since_has_no_place(show):
    order(show, copies=3)
    hung_show(show, orders=4)
    set_up(show)
    nest = lay(show)
    first, *_ = wall_prints(show)
    tick_show_prints(show=show, chosen=[first], by="", now=LATER)
    spoil_show_prints(show=show, chosen=[first], note="", by="", request_key=uuid.uuid4(), now=LATER)
    assert [line.chosen for line in page_of(show, nest).not_laid] == [first]
    [state] = [state for paper in page_of(show, nest).papers for state in paper.states if has(state, first)]
    assert first not in state.chosen, "it is not ticked with the rest of its old sheet"
    assert state.is_done == (len(state.lines) == 1)
    assert [paper.done for paper in page_of(show, nest).papers] == [0], "what is spoiled is not done"
    choose_papers(show=show, wishes=[ChoiceWish(edition_code="harbour", border_mm=10)])
    assert len(page_of(show, nest).not_laid) == 1 + 15
    assert page_of(show, lay(show, now=LATER + timedelta(minutes=1))).is_current


def test_paper_set_up_otherwise_since_is_named_and_a_new_count_is_not(show):
    hung_show(show)
    stock = set_up(show)
    nest = lay(show)
    save_paper(show=show, stock=stock, wish=PaperWish(**ROLL | {"there_mm": 300}), now=LATER)
    assert page_of(show, nest).changed == ()
    save_paper(show=show, stock=stock, wish=PaperWish(**ROLL | {"gap_mm": 9}), now=LATER)
    assert page_of(show, nest).changed == ("Cotton roll",)
    remove_paper(show=show, stock=stock)
    assert page_of(show, nest).changed == ("Cotton roll",)


def test_an_earlier_layout_says_of_a_sheet_that_was_spoiled_that_its_prints_lie_elsewhere(show):
    hung_show(show)
    set_up(show)
    first = lay(show)
    state = page_of(show, first).papers[0].states[0]
    spoil_sheet(show=show, prints=_on(state), note="", by="", request_key=uuid.uuid4(), now=LATER)
    second = lay(show, now=LATER + timedelta(minutes=1))
    again = [one for one in page_of(show, second).papers[0].states if not one.part.is_kept_back]
    for one in again:
        tick_sheet(show=show, prints=_on(one), by="", now=LATER + timedelta(minutes=2))
    spoiled, *others = page_of(show, first).papers[0].states
    assert (spoiled.here, spoiled.printed) == ((), 0), "nothing of it is to be cut"
    assert spoiled.moved == {spot.code for spot in spoiled.part.spots}
    assert page_of(show, first).papers[0].done == sum(one.printed > 0 for one in others) > 0
    paper = page_of(show, second).papers[0]
    assert paper.done == len(again) and page_of(show, second).is_current


def _on(state):
    return SheetPrints(state.chosen, state.copies, state.proofs)


def test_what_is_larger_than_its_paper_is_named(show):
    hung_show(show)
    set_up(show, kind="sheets", width_mm=320, height_mm=450)
    page = page_of(show, lay(show))
    large = {line.key for line in read_print_list(show).to_print if min(line.width_mm, line.height_mm) > 310}
    assert {one.key for one in page.papers[0].too_large} == large
    assert page.is_current, "no other layout would change that"
    set_up(show, name="Larger")
    wishes = [ChoiceWish(finish_code=code, paper_code="larger") for code in ("board", "frame")]
    choose_papers(show=show, wishes=[*wishes, ChoiceWish(edition_code="harbour", paper_code="cotton-sheets")])
    assert large <= {line.key for line in page_of(show, find_nest(show)).not_laid}, "but another paper would"


def test_parts_that_lie_alike_are_drawn_once_on_paper(show):
    hung_show(show)
    set_up(show, kind="sheets", width_mm=310, height_mm=440)
    choose_papers(show=show, wishes=[])
    nest = lay(show)
    [paper] = page_of(show, nest).papers
    drawn = list(draw_all(nest, paper=paper, states=paper.states, unit="cm"))
    numbers = [number for one in drawn for number, _ in one.alike] + [one.part.number for one in drawn if not one.alike]
    assert sorted(numbers) == [state.part.number for state in paper.states if not state.part.is_kept_back]
    assert any(one.alike for one in drawn)


def test_few_drawings_come_in_one_pdf_that_has_them_all(show):
    hung_show(show)
    set_up(show, kind="sheets")
    page = page_of(show, lay(show))
    [booklet] = split_drawings(page)
    assert booklet.papers == tuple((paper, paper.states) for paper in page.papers)
    assert booklet.name == f"Cotton sheets, sheets 1–{len(page.papers[0].states)}"


@pytest.mark.parametrize("alike", [True, False])
def test_many_drawings_come_in_pdfs_within_the_limits_each_sheet_once(show, alike):
    hung_show(show)
    set_up(show, kind="sheets")
    page = _with_states(page_of(show, lay(show)), count=400, alike=alike)
    booklets = split_drawings(page)
    numbers = [state.part.number for booklet in booklets for _, states in booklet.papers for state in states]
    assert numbers == list(range(1, 401)) + list(range(1, 401)), "two papers, in their order"
    assert {one.of for one in booklets} == {len(booklets)}
    assert [one.number for one in booklets] == list(range(1, len(booklets) + 1))
    for booklet in booklets:
        parts = [(paper.code, state.part) for paper, states in booklet.papers for state in states]
        drawn = {(code, part.spots[0].width_mm, part.height_mm) for code, part in parts}
        assert len(drawn) <= MOST_DRAWINGS
        assert sum(len(part.spots) for _, part in parts) <= MOST_DRAWN_PRINTS
    assert len(booklets) == (-(-800 // MOST_DRAWN_PRINTS) if alike else -(-800 // MOST_DRAWINGS))
    assert booklets[0].name == f"One, sheets 1–{MOST_DRAWN_PRINTS if alike else MOST_DRAWINGS}"


def _with_states(page, *, count, alike):
    """The page with two papers of so many sheets, a print on each, all of one size or each of its own."""
    [paper] = page.papers
    first = paper.states[0]
    states = tuple(
        replace(
            first, part=replace(first.part, number=at, spots=(Spot(f"p{at}", 5, 5, 100 if alike else at, 100, False),))
        )
        for at in range(1, count + 1)
    )
    papers = tuple(replace(paper, code=name.lower(), name=name, states=states) for name in ("One", "Two"))
    return replace(page, papers=papers)


def test_a_drawing_with_more_prints_than_the_limit_has_a_pdf_of_its_own(show):
    hung_show(show)
    set_up(show, kind="sheets")
    page = _with_states(page_of(show, lay(show)), count=2, alike=True)
    [one, _] = page.papers
    spots = tuple(Spot(f"p{at}", 5, at, 100, 1, False) for at in range(MOST_DRAWN_PRINTS + 1))
    full = replace(one.states[0], part=replace(one.states[0].part, spots=spots))
    booklets = split_drawings(replace(page, papers=(replace(one, states=(full, one.states[1])),)))
    assert [booklet.name for booklet in booklets] == ["One, sheet 1", "One, sheet 2"]


def test_the_page_opens_the_first_part_to_be_printed_or_the_one_asked_for(show):
    hung_show(show)
    set_up(show)
    lay(show)
    assert read_cutting(show, asked={}).drawing.part.number == 1
    assert read_cutting(show, asked={"paper": "cotton-roll", "part": "2"}).drawing.part.number == 2
    for odd in ("x", "99", "9" * 40, "²"):
        assert read_cutting(show, asked={"part": odd}).drawing.part.number == 1


def test_an_earlier_nest_is_found_by_its_code_and_only_in_its_show(show):
    hung_show(show)
    set_up(show)
    first, second = lay(show), lay(show)
    assert find_nest(show) == second
    assert find_nest(show, code=first.code) == first
    assert find_nest(show, code="nothing") is None
    page = read_cutting(show, asked={"nest": first.code})
    assert not page.is_newest and page.earlier == (first,)


def test_figures_are_those_of_a_tape():
    assert cut_figure(605, unit="mm") == "605"
    assert cut_figure(605, unit="cm") == "60.5"
    assert cut_figure(605, unit="in") == "23 13/16"


def test_the_page_reads_in_few_queries_whatever_the_number_of_prints(show, django_assert_max_num_queries):
    hung_show(show)
    set_up(show)
    lay(show)
    with django_assert_max_num_queries(16):
        read_cutting(show, asked={})

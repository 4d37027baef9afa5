"""The cut drawing: to scale, every cut with its line and its figure, no figure on another."""

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from fulfilment.drawing.cut_sheet import draw_sheet, spread
from fulfilment.nesting import Print, cut_apart
from fulfilment.nesting.laying import Paper, lay_on_paper

SIDES = st.integers(40, 400)


def drawn(items, *, paper=None, font=230):
    paper = paper or Paper(610, 900, margin_mm=5, gap_mm=3)
    for part in lay_on_paper(items, paper=paper, rounds=10).parts:
        cuts = cut_apart(part.spots, width_mm=part.width_mm, height_mm=part.height_mm)
        words = {spot.code: (spot.code, f"{spot.width_mm} × {spot.height_mm} mm", 10) for spot in part.spots}
        sheet = draw_sheet(
            part.spots, width_mm=part.width_mm, height_mm=part.height_mm, cuts=cuts, words=words, figure=str,
            font=font,
        )  # fmt: skip
        yield part, cuts, sheet


@settings(max_examples=60, deadline=None)
@given(sizes=st.lists(st.tuples(SIDES, SIDES), min_size=1, max_size=14), font=st.sampled_from([230, 310]))
def test_prints_are_to_scale_and_every_cut_has_line_and_figure(sizes, font):
    for part, cuts, sheet in drawn([Print(f"p{at}", *size) for at, size in enumerate(sizes)], font=font):
        scale = sheet.paper_width / part.width_mm
        for spot, box in zip(part.spots, sheet.prints, strict=True):
            assert abs(box.width - spot.width_mm * scale) <= 2 and abs(box.height - spot.height_mm * scale) <= 2
            assert abs(box.x - sheet.x - spot.x_mm * scale) <= 2
            assert abs(sheet.foot_y - box.y - spot.top_mm * scale) <= 2, "the beginning of the paper is below"
            assert box.x >= sheet.x and box.x + box.width <= sheet.right_x + 1
        assert [cut.step for cut in sheet.cuts] == [cut.step for cut in cuts]
        called = " ".join(callout.text for callout in sheet.beside + sheet.below)
        for cut in cuts:
            callouts = sheet.beside if cut.is_across else sheet.below
            [mine] = [one for one in callouts if str(cut.step) in one.text.split(":")[0].split(", ")]
            assert mine.text.endswith(f": {cut.at_mm}"), called
        for callouts, side in ((sheet.beside, "y"), (sheet.below, "x")):
            places = sorted(getattr(one, side) for one in callouts)
            assert all(b - a >= font for a, b in pairwise(places))
        assert all(one.y + font // 2 <= sheet.height for one in sheet.beside)


def test_the_picture_within_a_border_is_drawn_within_the_print():
    [(part, _, sheet)] = drawn([Print("a", 300, 200)])
    [box] = sheet.prints
    x, y, width, height = box.inner
    assert (x - box.x, y - box.y) == (box.border, box.border)
    assert (width, height) == (box.width - 2 * box.border, box.height - 2 * box.border)
    assert abs(box.border - 10 * sheet.paper_width / part.width_mm) <= 1


def test_words_that_have_no_room_are_left_to_the_table():
    [(_, _, sheet)] = drawn([Print("a", 30, 15, can_turn=False)])
    assert sheet.prints[0].size == ""


@given(st.lists(st.integers(0, 1000), max_size=12).map(sorted), st.integers(1, 60))
def test_places_keep_their_order_and_their_distance(wanted, apart):
    places = spread(wanted, apart=apart, least=0, most=1000)
    assert all(b - a >= apart for a, b in pairwise(places))
    if not places or apart * (len(places) - 1) <= 1000:
        assert all(0 <= place <= 1000 for place in places)

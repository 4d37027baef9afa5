"""Which work goes to which piece of wall."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning.placing.arrange import spread
from campaign.planning.placing.assign import assign, assign_quickly, reachable_mm
from campaign.planning.placing.rows import Undecided
from campaign.planning.placing.search import search
from campaign.planning.placing.ties import Task
from campaign.planning.placing.wall import Stretch

HARD = (310, 510, 570, 260, 410, 280, 120, 370, 150)  # fills three metres to the millimetre, in few ways


def _task(widths, lengths, *, gap_mm=0, heights=None, allowed=None):
    heights = heights or [1000] * len(lengths)
    pieces = tuple(
        Stretch(f"w{i}", 0, length, height, 1450, 0, gap_mm)
        for i, (length, height) in enumerate(zip(lengths, heights, strict=True))
    )
    return Task(
        pieces=pieces, widths=tuple(widths), allowed=tuple(allowed or [tuple(range(len(pieces)))] * len(widths))
    )


def test_works_are_spread_so_that_gaps_are_wide():
    assert sorted(spread(_task([400] * 4, [3000, 3000], gap_mm=50))) == [0, 0, 1, 1]


def test_works_go_only_where_they_may():
    assert assign(_task([400, 600], [3000, 800], gap_mm=50, allowed=[(0,), (1,)])) == (0, 1)


def test_exact_fit_that_spreading_misses_is_found():
    task = _task([500, 500, 300, 300, 300], [1000, 900])
    assert spread(task) is None
    assert assign(task) is not None


def test_sum_that_fits_but_pieces_that_do_not_are_refused():
    assert assign(_task([600] * 3, [1000, 1000])) is None


def test_packing_that_only_search_finds_is_found():
    task = _task(HARD, [1000] * 3)
    assert assign_quickly(task) is None
    assert assign(task) is not None


def test_search_that_is_given_up_says_so():
    with pytest.raises(Undecided):
        search(_task(HARD, [1000] * 3), node_limit=-1)


def test_every_piece_keeps_its_own_gap():
    task = Task(
        pieces=(Stretch("a", 0, 1000, 900, 1450, 0, 100), Stretch("b", 0, 1000, 900, 1450, 0, 0)),
        widths=(500, 500, 500),
        allowed=((0, 1),) * 3,
    )
    assert sorted(assign(task)) == [0, 1, 1]


@given(
    st.lists(st.sampled_from([200, 300, 350, 410, 600]), max_size=7),
    st.lists(st.tuples(st.sampled_from([500, 700, 950, 1200]), st.sampled_from([0, 30])), min_size=1, max_size=3),
    st.data(),
)
def test_search_alone_equals_trying_every_way(widths, pieces, data):
    task = Task(
        pieces=tuple(Stretch(f"w{i}", 0, length, 900, 1450, 0, gap) for i, (length, gap) in enumerate(pieces)),
        widths=tuple(widths),
        allowed=tuple(tuple(sorted(data.draw(st.sets(st.integers(0, len(pieces) - 1), min_size=1)))) for _ in widths),
        tied=(True,) * len(widths),
    )
    found = search(task, node_limit=30_000)
    assert (found is not None) is _fits(task, free=[piece.length_mm - piece.gap_mm for piece in task.pieces])
    for place, piece in enumerate(task.pieces):
        here = [width for width, at in zip(widths, found or (), strict=False) if at == place]
        assert not here or sum(width + piece.gap_mm for width in here) + piece.gap_mm <= piece.length_mm


def _fits(task, *, free, k=0):
    if k == len(task.widths):
        return True
    for place in task.allowed[k]:
        take = task.widths[k] + task.pieces[place].gap_mm
        if take <= free[place]:
            rest = [room - take * (i == place) for i, room in enumerate(free)]
            if _fits(task, free=rest, k=k + 1):
                return True
    return False


@given(st.integers(-5, 400), st.lists(st.integers(1, 60), min_size=1, max_size=4))
def test_reachable_length_is_the_best_sum(length, takes):
    sums = {0}
    for total in range(1, length + 1):
        if any(total - take in sums for take in takes):
            sums.add(total)
    assert reachable_mm(length, takes_mm=takes) == max(s for s in sums if s <= max(length, 0))

"""Which work goes to which stretch."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import assign
from campaign.planning.assign import Assigner, Undecided, reachable_mm
from campaign.planning.wall import Stretch
from tests.campaign.planning.exhaustive import hangs


def _pieces(*lengths, heights=None):
    heights = heights or [1000] * len(lengths)
    return tuple(
        Stretch(f"w{i}", 0, length, height, 1450)
        for i, (length, height) in enumerate(zip(lengths, heights, strict=True))
    )


def test_works_are_spread_so_that_gaps_are_wide():
    assigner = Assigner(stretches=_pieces(3000, 3000), min_gap_mm=50)
    assert sorted(assigner.assign([(400, 400)] * 4)) == [0, 0, 1, 1]


def test_tall_work_goes_where_it_fits():
    assigner = Assigner(stretches=_pieces(3000, 800, heights=[500, 900]), min_gap_mm=50)
    assert assigner.assign([(400, 400), (600, 900)]) == (0, 1)


def test_exact_fit_that_spreading_misses_is_found():
    assigner = Assigner(stretches=_pieces(1000, 900), min_gap_mm=0)
    assert assigner.assign([(500, 1), (500, 1), (300, 1), (300, 1), (300, 1)]) is not None


def test_sum_that_fits_but_pieces_that_do_not_are_refused():
    assigner = Assigner(stretches=_pieces(1000, 1000), min_gap_mm=0)
    assert assigner.fits([(600, 1)] * 3) is False
    assert assigner.assign([(600, 1)] * 3) is None


def test_packing_that_only_search_finds_is_found():
    assigner = Assigner(stretches=_pieces(1000, 1000, 1000), min_gap_mm=0)
    widths = (310, 510, 570, 260, 410, 280, 120, 370, 150)
    assert assigner.fits([(width, 1) for width in widths]) is True


def test_search_that_is_given_up_says_so(monkeypatch):
    monkeypatch.setattr(assign, "NODE_LIMIT", -1)
    assigner = Assigner(stretches=_pieces(1000, 1000, 1000), min_gap_mm=0)
    widths = (310, 510, 570, 260, 410, 280, 120, 370, 150)
    frames = [(width, 1) for width in widths]
    with pytest.raises(Undecided):
        assigner.assign(frames, node_limit=-1)
    assert assigner.fits(frames) is None


def test_frames_in_another_order_get_the_same_places():
    assigner = Assigner(stretches=_pieces(1000, 1000, 1000), min_gap_mm=0)
    widths = [310, 510, 570, 260, 410, 280, 120, 370, 150]
    there = dict(zip(widths, assigner.assign([(w, 1) for w in widths]), strict=True))
    back = dict(zip(widths[::-1], assigner.assign([(w, 1) for w in widths[::-1]]), strict=True))
    assert there == back


def test_a_yes_known_from_larger_frames_still_comes_with_places(monkeypatch):
    assigner = Assigner(stretches=_pieces(1000, 1000, 1000), min_gap_mm=0)
    widths = (310, 510, 570, 260, 410, 280, 120, 370, 150)
    assert assigner.fits([(width, 1) for width in widths]) is True
    smaller = [(width - 1, 1) for width in widths]
    monkeypatch.setattr(assign, "PLACING_NODE_LIMIT", -1)
    verdict = assigner.fits(smaller)
    assert verdict is None or assigner.assign(smaller, node_limit=30_000) is not None


FRAMES = st.lists(st.tuples(st.sampled_from([200, 300, 350, 410, 600]), st.sampled_from([300, 800])), max_size=7)


@given(FRAMES, st.lists(st.sampled_from([500, 700, 950, 1200]), min_size=1, max_size=3), st.data())
def test_decision_equals_trying_every_way(frames, lengths, data):
    heights = [data.draw(st.sampled_from([500, 900])) for _ in lengths]
    gap = data.draw(st.sampled_from([0, 30]))
    pieces = _pieces(*lengths, heights=heights)
    assigner = Assigner(stretches=pieces, min_gap_mm=gap)
    assert assigner.fits(frames) is hangs(frames, pieces=pieces, gap_mm=gap)
    chosen = assigner.assign(frames)
    for place, piece in enumerate(pieces):
        here = [frame for frame, at in zip(frames, chosen or (), strict=False) if at == place]
        assert sum(width + gap for width, _ in here) + gap <= max(piece.length_mm, gap)
        assert all(height <= piece.max_height_mm for _, height in here)


@given(st.integers(-5, 400), st.lists(st.integers(1, 60), min_size=1, max_size=4))
def test_reachable_length_is_the_best_sum(length, takes):
    sums = {0}
    for total in range(1, length + 1):
        if any(total - take in sums for take in takes):
            sums.add(total)
    assert reachable_mm(length, takes_mm=takes) == max(s for s in sums if s <= max(length, 0))

"""Merging found choices into steps: as one would by hand, and without writing out what cannot be a step."""

import tracemalloc

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning.choosing import selection
from campaign.planning.choosing.selection import Listed, Steps, merge

WORKS = 2
small = st.integers(0, 6)
rows = st.lists(st.tuples(small, small, st.integers(0, 3), st.tuples(small, small)), max_size=40)
VERDICTS = (True, False, None)


def steps_by_hand(known, found, *, accept, doubts):
    """Every choice in order of cost, worth, marks, options; a step is what is worth more than all before it."""
    pool = [(*row, True) for row in known] + [(*row, False) for row in found]
    best, kept = -1, []
    for cost, worth, marks, options, is_known in sorted(pool, key=lambda row: (row[0], -row[1], row[2], row[3])):
        if worth <= best:
            continue
        verdict = is_known or accept(list(options))
        if verdict:
            best = worth
            kept.append((cost, worth, marks, options))
        elif verdict is None:
            doubts.append((cost, worth))
    return kept


def columns(found):
    costs, worths, marks = (np.array([row[at] for row in found], dtype=np.int64) for at in range(3))
    return costs, worths, (1 << marks) - 1, np.array([row[3] for row in found], dtype=np.int64).reshape(-1, WORKS)


def accept(options):
    return VERDICTS[sum(options) % 3]


@given(rows, rows, st.sampled_from([1, 3, 4_096]))
def test_steps_are_those_that_one_finds_by_hand(before, found, at_once):
    known = steps_by_hand([], before, accept=lambda options: True, doubts=[])
    doubts, by_hand = [], []
    wanted = steps_by_hand(known, found, accept=accept, doubts=by_hand)
    usual, selection._AT_ONCE = selection._AT_ONCE, at_once
    try:
        steps = merge(Steps(*columns(known)), Listed(*columns(found)), accept=accept, doubts=doubts)
    finally:
        selection._AT_ONCE = usual
    assert steps.costs.tolist() == [row[0] for row in wanted]
    assert steps.worths.tolist() == [row[1] for row in wanted]
    assert steps.choices.tolist() == [list(row[3]) for row in wanted]
    assert doubts == by_hand


class Counted(Listed):
    """Says how many of it were written out."""

    written = 0

    def take(self, index):
        Counted.written += len(index)
        return Listed.take(self, index)


def test_what_cannot_be_a_step_is_not_written_out():
    many = 200_000
    found = Counted(np.arange(many), np.zeros(many, dtype=np.int64), np.zeros(many, dtype=np.int64),
                    np.zeros((many, WORKS), dtype=np.int64))  # fmt: skip
    known = Steps(*columns([(0, 9, 0, (1, 1))]))
    steps = merge(known, found, accept=lambda options: True, doubts=[])
    assert steps.choices.tolist() == [[1, 1]]
    assert Counted.written <= selection._AT_ONCE


def test_what_was_written_out_beside_a_step_is_not_kept_with_it():
    many, works = 100_000, 40
    at = np.arange(many)
    found = Listed(at, at // 4_096, np.zeros(many, dtype=np.int64), np.zeros((many, works), dtype=np.int64))
    tracemalloc.start()
    try:
        steps = merge(Steps.none(works), found, accept=lambda options: True, doubts=[])
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert len(steps.costs) == 25
    assert most < found.picks.nbytes / 2

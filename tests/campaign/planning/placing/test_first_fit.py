"""First fit of many choices side by side: what it hangs does hang, and it hangs what the slow way hangs first."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.planning.placing.assign import _first_fit
from campaign.planning.placing.first_fit import FrameTables
from campaign.planning.placing.places import HangingTest, _split
from campaign.planning.placing.ties import Ties
from tests.small_shows import SWITCHES, small_show


def some_choices(request, *, seed, count=60):
    """Choices at random, an option per work or none, most works hung."""
    dice = np.random.default_rng(seed)
    return np.column_stack([dice.integers(-1, len(work.options), count) for work in request.works])


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.sets(st.sampled_from(SWITCHES)))
def test_it_answers_as_first_fit_of_each_choice_does(seed, on):
    request = small_show(seed, on=on)
    ties, choices = Ties(request), some_choices(request, seed=seed)
    fits = FrameTables(ties).fit_first(choices)
    for choice, fit in zip(choices.tolist(), fits.tolist(), strict=True):
        special, frames = _split(ties, choice=choice)
        assert fit == (not special and _first_fit(ties.plain_task(frames)) is not None), choice


@pytest.mark.parametrize("seed", range(20))
def test_what_it_hangs_hangs(seed):
    request = small_show(seed, on=set(SWITCHES))
    choices = some_choices(request, seed=seed)
    test = HangingTest(request)
    fits = test.fit_first(choices)
    assert all(test.hangs(choice) for choice in choices[fits].tolist())


def test_nothing_hung_fits_and_no_choices_are_no_answers():
    request = small_show(1, on=set())
    nothing = np.full((1, len(request.works)), -1, dtype=np.int64)
    assert HangingTest(request).fit_first(nothing).tolist() == [True]
    assert HangingTest(request).fit_first(nothing[:0]).tolist() == []

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fulfilment.packing.copy_history import CopyHistory, read_history

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
KINDS = ("printed", "not_printed", "signed", "not_signed", "spoiled")


def told(*kinds):
    return [(kind, NOON + timedelta(hours=hour)) for hour, kind in enumerate(kinds)]


def test_nothing_happened_to_a_new_copy():
    assert read_history([]) == CopyHistory()


def test_first_moment_of_print_and_signature_stays():
    now = read_history(told("printed", "printed", "signed", "signed"))
    assert (now.printed_at, now.signed_at) == (NOON, NOON + timedelta(hours=2))


def test_spoiled_sheet_takes_print_and_signature_with_it():
    now = read_history(told("printed", "signed", "spoiled", "printed"))
    assert now == CopyHistory(printed_at=NOON + timedelta(hours=3), spoilings=1, spoiled_at=NOON + timedelta(hours=2))


def test_taking_a_mark_back_is_no_spoiling():
    assert read_history(told("printed", "signed", "not_printed")) == CopyHistory()
    assert read_history(told("printed", "signed", "not_signed")) == CopyHistory(printed_at=NOON)


def test_unknown_kind_is_refused():
    with pytest.raises(ValueError, match="burnt"):
        read_history(told("burnt"))


@given(st.lists(st.sampled_from(KINDS), max_size=12))
def test_printed_exactly_when_the_last_print_is_later_than_what_took_it_away(kinds):
    now = read_history(told(*kinds))
    last = {kind: max((n for n, other in enumerate(kinds) if other == kind), default=-1) for kind in KINDS}
    assert (now.printed_at is not None) == (last["printed"] > max(last["spoiled"], last["not_printed"]))
    assert now.spoilings == kinds.count("spoiled")

"""The order along a row when some works must not hang next to each other."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning.placing.rows import SPARE, Party, Undecided, order_apart


def _foes(pairs):
    foes = {}
    for a, b in pairs:
        foes[a] = foes.get(a, frozenset()) | {b}
        foes[b] = foes.get(b, frozenset()) | {a}
    return foes


def test_two_foes_alone_cannot_be_parted():
    assert order_apart([Party((1, 2), 0)], foes=_foes([(1, 2)])) is None


def test_door_between_foes_does_not_part_them():
    assert order_apart([Party((1,), 0), Party((2,), 0)], foes=_foes([(1, 2)])) is None


def test_any_other_work_parts_foes_across_a_door():
    assert order_apart([Party((1,), 0), Party((2,), 1)], foes=_foes([(1, 2)])) == (1, SPARE, 2)


def test_a_third_member_parts_two_foes():
    assert order_apart([Party((1, 2, 3), 0)], foes=_foes([(1, 2)])) in {(1, 3, 2), (2, 3, 1)}


def test_empty_row_is_in_order():
    assert order_apart([], foes={}) == ()


def test_order_that_takes_too_long_is_given_up():
    everyone = range(8)
    with pytest.raises(Undecided):
        order_apart([Party(tuple(everyone), 3)], foes=_foes(itertools.combinations(everyone, 2)), limit=5)


@given(
    st.lists(st.tuples(st.integers(0, 3), st.integers(0, 2)), max_size=3),
    st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)).filter(lambda pair: pair[0] != pair[1]), max_size=8),
)
def test_an_order_is_found_exactly_when_there_is_one(shape, pairs):
    numbers = itertools.count()
    parties = [Party(tuple(itertools.islice(numbers, members)), spares) for members, spares in shape]
    foes = _foes(pairs)
    lines = [
        list(itertools.chain.from_iterable(orders))
        for orders in itertools.product(
            *(set(itertools.permutations([*party.members, *[SPARE] * party.spares])) for party in parties)
        )
    ]
    sound = [line for line in lines if not any(b in foes.get(a, ()) for a, b in itertools.pairwise(line))]
    found = order_apart(parties, foes=foes)
    assert (list(found) in sound) if found is not None else not sound

"""`verify` on nests: agrees with every nest that was laid, and finds those that could not be cut."""

import pytest

from fulfilment.services.paper_checks import check_nests
from tests.fulfilment.paper_scene import hung_show, lay, set_up


@pytest.fixture
def nest(show):
    hung_show(show)
    set_up(show, kind="sheets")
    return lay(show)


def spoil(nest, act):
    part = next(part for part in nest.layout["papers"][0]["parts"] if len(part["spots"]) > 1)
    act(part["spots"])
    nest.save()
    return check_nests()


def test_a_nest_as_it_was_laid_agrees(nest):
    finding = check_nests()
    assert finding.difference is None and finding.looked_at == 1


def test_a_print_over_another_is_found(nest):
    def move(spots):
        spots[0][1], spots[0][2] = spots[1][1] + 1, spots[1][2] + 1

    assert "cannot be cut" in spoil(nest, move).difference


def test_a_print_off_the_paper_is_found(nest):
    def move(spots):
        spots[0][1] = 9_999

    assert "cannot be cut" in spoil(nest, move).difference


def test_a_print_that_lies_twice_is_found(nest):
    def rename(spots):
        spots[0][0] = spots[1][0]

    assert "lies twice" in spoil(nest, rename).difference

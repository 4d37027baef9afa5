"""What all tests of faults do."""

from collections.abc import Iterator

import pytest

from tests.alone import beside_others


@pytest.fixture(autouse=True)
def others() -> Iterator[None]:
    """They wait while somebody measures."""
    with beside_others():
        yield

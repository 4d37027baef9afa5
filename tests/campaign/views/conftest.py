"""Views read the clock themselves; these tests set it to a day within the campaign of the builders' show."""

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine

from tests.builders import NOW


@pytest.fixture
def clock() -> Iterator[Any]:
    """The tenth of March, noon, standing still until it is shifted."""
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller

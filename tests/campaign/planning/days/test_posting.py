"""The posting date that is advised."""

from datetime import date

import pytest

from campaign.planning.days.posting import advise_posting

PLANNED = date(2026, 5, 20)


@pytest.mark.parametrize(
    ("stated", "is_too_soon", "is_tight"),
    [
        (date(2026, 5, 19), True, True),
        (date(2026, 5, 20), False, True),
        (date(2026, 6, 18), False, True),
        (date(2026, 6, 19), False, False),
    ],
)
def test_a_month_after_the_planned_day_is_advised(stated, is_too_soon, is_tight):
    advice = advise_posting(planned_on=PLANNED, stated_on=stated)
    assert advice.advised_on == date(2026, 6, 19)
    assert (advice.is_too_soon, advice.is_tight) == (is_too_soon, is_tight)

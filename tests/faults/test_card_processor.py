"""Card payments in bad weather: nobody is charged or paid back twice, and our books are the processor's."""

import pytest

from tests.builders import make_draft
from tests.faults.card_storm import failing_processor_figures, storm_figures
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.django_db]


def test_a_storm_of_messages_leaves_the_processors_books(stand_in):
    figures = storm_figures(show=make_draft(state="open"), stand_in=stand_in)
    record("6 webhook storm (SQLite)", **figures)
    assert figures["deliveries"] == 1_000
    assert figures["forged_sent"] > 50 and figures["stale_sent"] > 50
    assert figures["forged_applied"] == figures["stale_applied"] == figures["other_answers"] == 0
    assert figures["events_applied"] == 200
    assert figures["wrong_shown"] == figures["wrong_wanted"]
    assert figures["unpaid_booked"] == figures["processor_differs"] == figures["balance_differs_minor"] == 0


def test_a_failing_processor_charges_and_gives_back_once(stand_in):
    figures = failing_processor_figures(show=make_draft(state="open"), stand_in=stand_in)
    record("9 failing processor (SQLite)", **figures)
    assert figures["charged_once"] == figures["payments"] and figures["charged_more_often"] == 0
    assert figures["given_back_once"] == figures["refunds_done"] == figures["refunds"]
    assert figures["given_back_more_often"] == 0
    assert all(figures["failures"][kind] > 20 for kind in ("500", "500_after", "timeout", "reset", "429"))
    assert figures["processor_differs"] == figures["balance_differs_minor"] == 0

"""Card payments in bad weather: nobody is charged or paid back twice, and our books are the processor's."""

from pathlib import Path

import pytest
from django.db import connection

from tests.builders import make_draft
from tests.faults.card_storm import failing_processor_figures, storm_figures
from tests.processes import environment, new_database, postgres, run
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(400)]


def engine() -> str:
    return {"sqlite": "SQLite", "postgresql": "PostgreSQL"}[connection.vendor]


@pytest.mark.django_db
def test_a_storm_of_messages_leaves_the_processors_books(stand_in):
    figures = storm_figures(show=make_draft(state="open"), stand_in=stand_in)
    record(f"6 webhook storm ({engine()})", **figures)
    assert figures["deliveries"] == 1_000
    assert figures["forged_sent"] > 50 and figures["stale_sent"] > 50
    assert figures["forged_applied"] == figures["stale_applied"] == figures["other_answers"] == 0
    assert figures["events_applied"] == 200
    assert figures["wrong_shown"] == figures["wrong_wanted"]
    assert figures["unpaid_booked"] == figures["processor_differs"] == figures["balance_differs_minor"] == 0


@pytest.mark.django_db
def test_a_failing_processor_charges_and_gives_back_once(stand_in):
    figures = failing_processor_figures(show=make_draft(state="open"), stand_in=stand_in)
    record(f"9 failing processor ({engine()})", **figures)
    assert figures["charged_once"] == figures["payments"] and figures["charged_more_often"] == 0
    assert figures["given_back_once"] == figures["refunds_done"] == figures["refunds"]
    assert figures["given_back_more_often"] == 0
    assert all(figures["failures"][kind] > 20 for kind in ("500", "500_after", "timeout", "reset", "429"))
    assert figures["processor_differs"] == figures["balance_differs_minor"] == 0


def test_both_weathers_on_postgresql(tmp_path: Path):
    """The two tests above once more, by a pytest of its own whose database is on a server."""
    with postgres() as server, new_database(server, is_migrated=True) as address:
        its_own = {"WALLFUL_DATABASE_URL": address, "WALLFUL_TEST_DB_AS_IS": "1", "WALLFUL_DATA": str(tmp_path)}
        env = environment(its_own)
        own = (
            "-q",
            "-n",
            "0",
            "--reuse-db",
            "-p",
            "no:cacheprovider",
            "-m",
            "faults",
            "-k",
            "not postgresql",
            __file__,
        )
        print(run("-m", "pytest", *own, env=env))

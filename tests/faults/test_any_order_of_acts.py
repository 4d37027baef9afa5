"""
Whatever is done to orders and money, in whatever order, rows and cash book agree with a model of plain numbers.

Stated limits: 240 runs of 30 acts, every kind of act at least 50 times, no disagreement.
"""

import time

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.faults.money_machine import MoneyMachine, fired
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(900)]
RUNS, ACTS, LEAST = 240, 30, 50
RARE = {
    "cancel, too late",
    "place, closed",
    "place, too few copies",
    "give back, too much",
    "close",
}  # outcomes, not acts of their own
PLENTY = settings(
    max_examples=RUNS, stateful_step_count=ACTS, deadline=None, database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)  # fmt: skip


def test_rows_and_cash_book_agree_with_the_model_whatever_is_done(db):
    fired.clear()
    started = time.monotonic()
    run_state_machine_as_test(MoneyMachine, settings=PLENTY)
    record(
        "4 any order of acts (SQLite)",
        runs=RUNS, acts_each=ACTS, violations=0, seconds=round(time.monotonic() - started),
        fired=dict(sorted(fired.items())),
    )  # fmt: skip
    rare = {name: times for name, times in fired.items() if times < LEAST and name not in RARE}
    assert not rare, f"too seldom: {rare}"

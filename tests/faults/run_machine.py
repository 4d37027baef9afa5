"""
Runs of the machine in the database of the settings, of which nothing is kept: `python -m tests.faults.run_machine`.

Arguments: RUNS ACTS SEED. Prints as JSON how often each act was done; ends with an error and the shortest way into a
disagreement if there is one.
"""

import gc
import json
import os
import sys

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from hypothesis import HealthCheck, seed, settings  # noqa: E402 - the machine needs django.setup()
from hypothesis.stateful import run_state_machine_as_test  # noqa: E402

from tests.faults.machine_model import fired  # noqa: E402
from tests.faults.money_machine import MoneyMachine  # noqa: E402
from tests.seed import migrate  # noqa: E402


def main(runs: str, acts: str, chance: str) -> None:
    """Run, and tell."""
    migrate()
    gc.freeze()
    gc.set_threshold(20_000)  # as in a web process
    plenty = settings(
        max_examples=int(runs), stateful_step_count=int(acts), deadline=None, database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
    )  # fmt: skip
    run_state_machine_as_test(seed(int(chance))(MoneyMachine), settings=plenty)
    sys.stdout.write(json.dumps(fired))


if __name__ == "__main__":
    main(*sys.argv[1:])

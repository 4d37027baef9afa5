"""
Figures of the load and fault tests, gathered into one file: tests/reliability.json.

A test calls `record`; what it says is printed and kept, with whether that test held. A run of a part of the tests
replaces that part's figures only. The number at the head of a name is the one of the test in the reliability table.
"""

import fcntl
import json
import os
import platform
import statistics
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

FILE = Path(__file__).parent / "reliability.json"
_figures: dict[str, dict[str, object]] = {}
_of_this_test: list[str] = []


def record(name: str, **figures: object) -> None:
    """Keep the `figures` of the test `name`, and print them for whoever reads along."""
    _figures[name] = figures
    _of_this_test.append(name)
    print(f"\n{name}: " + ", ".join(f"{key.replace('_', ' ')} {value}" for key, value in figures.items()))


def times(seconds: Sequence[float]) -> dict[str, float]:
    """Median, 99th percentile and longest of `seconds`, in milliseconds."""
    ordered = sorted(seconds)
    found = {"p50_ms": statistics.median(ordered), "p99_ms": ordered[int(len(ordered) * 0.99)], "max_ms": ordered[-1]}
    return {name: round(value * 1000, 1) for name, value in found.items()}


def settle(*, holds: bool) -> None:
    """A test is over: say of its figures whether it held, so that nobody quotes a figure of one that failed."""
    for name in _of_this_test:
        _figures[name]["holds"] = holds
    _of_this_test.clear()


def write() -> None:
    """Put what this run recorded into the file, beside what other runs and processes did."""
    if not _figures:
        return
    machine = {"cores": os.cpu_count(), "python": platform.python_version(), "on": datetime.now(UTC).date().isoformat()}
    with FILE.open("a+", encoding="utf-8") as file:
        fcntl.flock(file, fcntl.LOCK_EX)  # pytest's processes end at the same moment
        file.seek(0)
        known = json.loads(file.read() or "{}")
        merged = known | _figures | {"machine": machine}
        file.truncate(0)
        file.write(json.dumps(merged, indent=1, sort_keys=True, default=str) + "\n")

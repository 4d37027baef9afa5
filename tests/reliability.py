"""
Figures of the load and fault tests, gathered into one file: tests/reliability.json.

A test calls `record`; what it says is printed and kept. A run of a part of the tests replaces that part's figures only.
"""

import json
from pathlib import Path

FILE = Path(__file__).parent / "reliability.json"
_figures: dict[str, dict[str, object]] = {}


def record(name: str, **figures: object) -> None:
    """Keep the `figures` of the test `name`, and print them for whoever reads along."""
    _figures[name] = figures
    print(f"\n{name}: " + ", ".join(f"{key.replace('_', ' ')} {value}" for key, value in figures.items()))


def write() -> None:
    """Put what this run recorded into the file, beside what other runs did."""
    if not _figures:
        return
    known = json.loads(FILE.read_text(encoding="utf-8")) if FILE.exists() else {}
    FILE.write_text(json.dumps(known | _figures, indent=1, sort_keys=True, default=str) + "\n", encoding="utf-8")

"""Run every measurement, print one table and the same as JSON; exit 1 when a bar is missed."""

import argparse
import json
import os
import sys
from collections.abc import Callable
from pathlib import Path

# As settings.py has it, and before numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from tests.bench.edits import edit_rows
from tests.bench.mails import mail_rows
from tests.bench.nesting import nesting_rows
from tests.bench.packing import packing_rows
from tests.bench.papers import paper_rows
from tests.bench.rows import Row, look_up_rows, staircase_rows
from tests.bench.standing import standing_rows
from tests.bench.web import web_rows
from tests.bench.whole import whole_rows

# Each entry is one measurement; a new one is a function that returns rows and a line here.
MEASUREMENTS: tuple[Callable[[], list[Row]], ...] = (
    staircase_rows,
    look_up_rows,
    whole_rows,
    standing_rows,
    edit_rows,
    web_rows,
    mail_rows,
    nesting_rows,
    packing_rows,
    paper_rows,
)


def as_table(rows: list[Row]) -> str:
    """Columns: what, ours, peer or limit, ratio, bar, pass."""
    heads = ("what", "ours", "peer or limit", "ratio", "bar", "pass")
    cells = [
        (
            row.what,
            f"{row.ours:.4g} {row.unit}".strip(),
            f"{row.peer:.4g} {row.unit}".strip() + f" ({row.peer_is})",
            f"{row.ratio:.2f}",
            row.bar_words,
            "-" if row.bar is None else "yes" if row.passed else "NO",
        )
        for row in rows
    ]
    widths = [max(len(line[i]) for line in [heads, *cells]) for i in range(len(heads))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)) for line in [heads, *cells]]
    lines.insert(1, "  ".join("-" * width for width in widths))
    return "\n".join(line.rstrip() for line in lines)


def as_json(rows: list[Row]) -> str:
    """The same rows as a JSON list."""
    return json.dumps(
        [
            {
                "what": row.what.strip(),
                "ours": row.ours,
                "peer_or_limit": row.peer,
                "unit": row.unit,
                "peer_is": row.peer_is,
                "ratio": row.ratio,
                "bar": row.bar,
                "bar_is": "smallest" if row.is_floor else "largest",
                "pass": row.passed,
            }
            for row in rows
        ],
        indent=1,
    )


def main() -> int:
    """Measure, report, and say by the exit code whether every bar was met."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    names = [measure.__name__.removesuffix("_rows") for measure in MEASUREMENTS]
    parser.add_argument("--only", nargs="+", choices=names, default=names, help="some of the measurements")
    parser.add_argument("--json", type=Path, metavar="FILE", help="also write the rows to this file")
    arguments = parser.parse_args()
    chosen = [measure for name, measure in zip(names, MEASUREMENTS, strict=True) if name in arguments.only]
    rows = [row for measure in chosen for row in measure()]
    print(as_table(rows))
    print(as_json(rows))
    if arguments.json:
        arguments.json.write_text(as_json(rows) + "\n", encoding="utf-8")
    return 0 if all(row.passed for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main())

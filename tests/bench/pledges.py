"""
Orders a second over HTTP, with four workers on PostgreSQL, against the same SQL transaction in pgbench.

Both sides run alternately on one database and want copies of one edition, so both queue for the same row. pgbench has
as many clients as the site has workers.
"""

import re
import subprocess
import tempfile
from pathlib import Path
from statistics import median

from tests.bench.buyers import place_orders
from tests.bench.outgrown import WORKERS, Outgrown, find_pgbench, pgbench_place
from tests.bench.rows import Row
from tests.processes import run

ROUNDS, ORDERS, SAME_SQL, BUYERS = 5, 150, 400, 8
COPIES = ROUNDS * (ORDERS + SAME_SQL) + 1_000
RATE = re.compile(r"^tps = ([0-9.]+)", re.MULTILINE)
FAILED = re.compile(r"^number of failed transactions: (\d+)", re.MULTILINE)


def pledge_rows(site: Outgrown) -> list[Row]:
    """Orders a second on both sides, medians of alternating runs; without pgbench ours alone, and it says so."""
    pgbench = find_pgbench()
    place_orders(site, count=40, buyers=BUYERS)  # each worker has its connection and has read its templates
    if pgbench is None:
        ours = place_orders(site, count=ORDERS, buyers=BUYERS).per_second
        return [Row("pledges over HTTP; the peer NOT MEASURED: no pgbench", ours, ours, "/s", "itself", None)]
    script = run("-m", "tests.bench.pledge_sql", env=site.env)
    ours, peer, waits = [], [], []
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "pledge.sql"
        file.write_text(script, encoding="utf-8")
        for _ in range(ROUNDS):
            peer.append(_run_pgbench(pgbench, file, site))
            crowd = place_orders(site, count=ORDERS, buyers=BUYERS)
            ours.append(crowd.per_second)
            waits.append(1000 * crowd.p99_s)
    statements = sum(line.startswith(("SELECT", "INSERT", "WITH")) for line in script.splitlines())
    return [
        Row(
            f"pledges over HTTP, {WORKERS} workers, {BUYERS} buyers at once", median(ours), median(peer), "/s",
            f"pgbench, same transaction of {statements} statements, {WORKERS} clients", 0.30, is_floor=True,
        ),
        Row("   their p99", median(waits), 500.0, "ms", "limit", None),
    ]  # fmt: skip


def _run_pgbench(pgbench: str, script: Path, site: Outgrown) -> float:
    """Transactions a second; a failed one fails the bench."""
    command = [
        pgbench, "--no-vacuum", f"--file={script}", f"--client={WORKERS}", "--jobs=1",
        f"--transactions={SAME_SQL // WORKERS}", *pgbench_place(site.database),
    ]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, timeout=120)
    rate, failed = RATE.search(done.stdout), FAILED.search(done.stdout)
    assert done.returncode == 0 and rate and failed and failed[1] == "0", f"{done.stdout}\n{done.stderr[-2000:]}"
    return float(rate[1])

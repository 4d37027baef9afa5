"""Peak memory of one whole staircase, measured in a process of its own: `python -m tests.bench.memory WORKS SEED`."""

import resource
import subprocess
import sys

from campaign.planning import build_staircase
from tests.bench.whole_shows import whole_show


def peak_mib(*, works: int, seed: int) -> tuple[float, float]:
    """Resident memory in MiB of a fresh process before building the staircase and at its peak."""
    command = [sys.executable, "-m", "tests.bench.memory", str(works), str(seed)]
    before, peak = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(before), float(peak)


def _now_mib() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    request = whole_show(works=int(sys.argv[1]), seed=int(sys.argv[2]))
    started = _now_mib()
    build_staircase(request)
    print(started, _now_mib())

"""Peak memory of one whole staircase, measured in a process of its own: `python -m tests.bench.memory WORKS SEED`."""

import subprocess
import sys
from pathlib import Path

from campaign.planning import build_staircase
from tests.bench.whole_shows import whole_show


def peak_mib(*, works: int, seed: int) -> tuple[float, float]:
    """Resident memory in MiB of a fresh process before building the staircase and at its peak."""
    command = [sys.executable, "-m", "tests.bench.memory", str(works), str(seed)]
    before, peak = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(before), float(peak)


def _mib(field: str) -> float:
    """A field of this process's own status; getrusage would also count what the parent held when it forked."""
    for line in Path("/proc/self/status").read_text(encoding="utf-8").splitlines():
        name, _, value = line.partition(":")
        if name == field:
            return int(value.split()[0]) / 1024
    raise OSError(f"No {field} in the status of this process.")


if __name__ == "__main__":
    request = whole_show(works=int(sys.argv[1]), seed=int(sys.argv[2]))
    started = _mib("VmRSS")
    build_staircase(request)
    print(started, _mib("VmHWM"))

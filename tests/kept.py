"""Empty migrated databases, kept among the machine's temporary files by what migrations say: made in half a minute."""

import contextlib
import fcntl
import hashlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import django

ROOT = Path(__file__).resolve().parent.parent


@contextlib.contextmanager
def keeping(kind: str) -> Iterator[Path]:
    """The kept file of a `kind`. Where it is missing the block makes it; whoever else wants it waits so long."""
    said = hashlib.sha256(django.__version__.encode())
    for path in sorted(ROOT.glob("*/migrations/*.py")):
        said.update(path.name.encode() + path.read_bytes())
    folder = Path(tempfile.gettempdir()) / f"wallful-tests-{os.getuid()}"
    folder.mkdir(mode=0o700, exist_ok=True)
    file = folder / f"migrated-{said.hexdigest()[:16]}.{kind}"
    with file.with_suffix(f".{kind}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield file

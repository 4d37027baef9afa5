"""The site as one runs it at home: `manage.py serve` on a copy of a prepared data folder, and a mail server."""

import contextlib
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.browser.sink import Sink
from tests.processes import Program, laptop, run, serving

SECRET = "only-for-journeys-in-a-browser-on-this-very-machine-0123456789"


@dataclass(frozen=True, slots=True)
class Site:
    """A served show; `url` ends without a slash."""

    data: Path
    url: str
    sink: Sink
    program: Program

    def run(self, *arguments: str) -> str:
        """Run Python on this site's data folder, beside the serving process; what it printed."""
        return run(*arguments, env=settings(self.data))


def settings(data: Path, *, smtp_port: int = 0, debug: bool = False) -> dict[str, str]:
    """As on a host that others can reach, so that error pages and static files are the real ones; no HTTPS though."""
    return laptop(data, smtp_port=smtp_port) | {"WALLFUL_DEBUG": str(int(debug)), "WALLFUL_SECRET_KEY": SECRET}


@contextlib.contextmanager
def served(*, prepared: Path, at: Path) -> Iterator[Site]:
    """A served copy, in the folder `at`, of the data folder `prepared`; fails at the end if the server met an error."""
    shutil.copytree(prepared, at)
    with contextlib.closing(Sink()) as sink:
        log = at / "serve.log"
        with serving(env=settings(at, smtp_port=sink.port), log=log) as (url, program):
            yield Site(data=at, url=url, sink=sink, program=program)
        said = log.read_text()
        assert "Traceback" not in said, said


def prepare(data: Path) -> None:
    """Load the demonstration show into `data`, and bring it to the eve of its next level."""
    env = settings(data, debug=True)  # the demonstration's password is known to all, so it loads in no other way
    run("manage.py", "demo", "--no-serve", env=env)
    run("-m", "tests.browser.scene", "eve", env=env)

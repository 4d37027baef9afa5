"""The site as one runs it at home: `manage.py serve` on a copy of a prepared data folder, and a mail server."""

import contextlib
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.browser.sink import Sink
from tests.processes import Program, laptop, run, serving


@dataclass(frozen=True, slots=True)
class Site:
    """A served show; `url` ends without a slash."""

    data: Path
    url: str
    sink: Sink
    program: Program

    def run(self, *arguments: str) -> str:
        """Run Python on this site's data folder, beside the serving process; what it printed."""
        return run(*arguments, env=laptop(self.data))


@contextlib.contextmanager
def served(*, prepared: Path, at: Path) -> Iterator[Site]:
    """A served copy, in the folder `at`, of the data folder `prepared`; fails at the end if the server met an error."""
    shutil.copytree(prepared, at)
    with contextlib.closing(Sink()) as sink:
        log = at / "serve.log"
        with serving(env=laptop(at, smtp_port=sink.port), log=log) as (url, program):
            yield Site(data=at, url=url, sink=sink, program=program)
        said = log.read_text()
        assert "Traceback" not in said, said


def prepare(data: Path) -> None:
    """Load the demonstration show into `data`, and bring it to the eve of its next level."""
    env = laptop(data)
    run("manage.py", "demo", "--no-serve", env=env)
    run("-m", "tests.browser.scene", "eve", env=env)

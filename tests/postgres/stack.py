"""The processes of docker-compose.yml, with its commands and environment, on a private PostgreSQL and Redis."""

import contextlib
import urllib.parse
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.browser.sink import Sink
from tests.buyers import Buyer
from tests.postgres.compose import command_of, read_compose
from tests.processes import Program, Redis, answers, environment, free_port, new_database, run, wait_until

PUBLIC_URL = "https://wallful.example"
BEHIND_PROXY = {"Host": "wallful.example", "X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.7",
                "Referer": f"{PUBLIC_URL}/"}  # fmt: skip


@dataclass
class Stack:
    """What runs: its programs by the service's name, the mail that left it, and the environment they share."""

    url: str
    env: dict[str, str]
    sink: Sink
    redis: Redis
    programs: dict[str, Program]

    def buyer(self) -> Buyer:
        """A visitor who comes through the proxy in front."""
        buyer = Buyer(self.url, headers=dict(BEHIND_PROXY))
        buyer.open_form()
        return buyer

    def wait_for_web(self) -> None:
        """Until the web process answers."""
        wait_until(lambda: answers(f"{self.url}/healthz", headers=BEHIND_PROXY), what="the web process answers")


@contextlib.contextmanager
def composed(
    server: str, folder: Path, *, copies: int, web_processes: int = 2, sink: Sink | None = None
) -> Iterator[Stack]:
    """Everything the compose file starts, in its order, with a show whose edition has `copies`; mail goes to `sink`."""
    with contextlib.ExitStack() as stack:
        database = stack.enter_context(new_database(server, is_migrated=True))
        if sink is None:
            sink = Sink()
            stack.callback(sink.close)
        services = read_compose(_values(smtp_port=sink.port))
        broker = Redis(folder / "redis", *services["redis"]["command"][1:])
        stack.callback(broker.stop)
        port = free_port()
        env = environment(_environment(services["web"]["environment"], database=database, broker=broker, folder=folder))
        run("manage.py", "collectstatic", "--noinput", env=env)  # a step of the image's build
        run(*services["migrate"]["command"][1:], env=env)
        run("-m", "tests.seed", str(copies), env=env)
        programs = {}
        for name in ("web", "worker", "beat"):
            own = env | {"REMAP_SIGTERM": services[name]["environment"]["REMAP_SIGTERM"]}
            inside = {"0.0.0.0:8000": f"127.0.0.1:{port}", "--workers=2": f"--workers={web_processes}"}
            command = command_of(services[name], replaced=inside)
            programs[name] = Program(*command, env=own, log=folder / f"{name}.log")
            stack.callback(programs[name].stop)
        running = Stack(f"http://127.0.0.1:{port}", env, sink, broker, programs)
        running.wait_for_web()
        yield running


@contextlib.contextmanager
def web_only(env: Mapping[str, str], folder: Path, *, processes: int) -> Iterator[tuple[str, Program]]:
    """The compose file's web command alone, with so many processes, on the database of `env`; its address."""
    port = free_port()
    replaced = {"0.0.0.0:8000": f"127.0.0.1:{port}", "--workers=2": f"--workers={processes}"}
    command = command_of(read_compose(_values(smtp_port=25))["web"], replaced=replaced)
    program = Program(*command, env=env, log=folder / "web.log")
    url = f"http://127.0.0.1:{port}"
    try:
        wait_until(lambda: answers(f"{url}/healthz"), what="the web processes answer")
        yield url, program
    finally:
        program.stop()


def _values(*, smtp_port: int) -> dict[str, str]:
    """What somebody who runs the compose file puts into its environment."""
    return {
        "WALLFUL_SECRET_KEY": "a secret of this test, which is longer than fifty characters",
        "WALLFUL_PUBLIC_URL": PUBLIC_URL,
        "WALLFUL_HOSTS": "wallful.example",
        "WALLFUL_POSTGRES_PASSWORD": "only-inside-compose",
        "WALLFUL_SMTP_HOST": "127.0.0.1",
        "WALLFUL_SMTP_PORT": str(smtp_port),
        "WALLFUL_SMTP_TLS": "0",
        "WALLFUL_MAIL_FROM": "studio@wallful.example",
        "WALLFUL_LOG_LEVEL": "WARNING",
    }


def _environment(given: dict[str, str], *, database: str, broker: Redis, folder: Path) -> dict[str, str]:
    """The service's environment with the two servers' addresses replaced, and a data folder in place of the image's."""
    assert urllib.parse.urlsplit(given["WALLFUL_DATABASE_URL"]).hostname == "postgres"
    assert urllib.parse.urlsplit(given["WALLFUL_REDIS_URL"]).hostname == "redis"
    own = {key: str(value) for key, value in given.items() if key != "REMAP_SIGTERM"}
    return own | {
        "WALLFUL_DATABASE_URL": database,
        "WALLFUL_REDIS_URL": broker.url,
        "WALLFUL_DATA": str(folder / "data"),
        "WALLFUL_ORDERS_PER_HOUR": "100000",
    }

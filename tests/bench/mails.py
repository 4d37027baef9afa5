"""
Mails a second through the outbox and the worker's own task, against smtplib on one connection with the same bytes.

Both talk to the same sink, alternately, from one process; the rows are on PostgreSQL or in an SQLite file, and every
claim and every note that a mail is sent is committed. `python -m tests.bench.mails PORT` is that process.
"""

import contextlib
import json
import os
import smtplib
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from tests.bench.mail_sink import sinking
from tests.bench.rows import Row
from tests.processes import ROOT, environment, laptop, new_database, postgres, run

ROUNDS, MAILS = 5, 1_000
TRANSACTIONAL, CAMPAIGN = "transactional", "campaign"


def mail_rows() -> list[Row]:
    """Medians of alternating runs, by engine and kind of mail."""
    rows = []
    with contextlib.ExitStack() as stack:
        port = stack.enter_context(sinking())
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        database = stack.enter_context(new_database(stack.enter_context(postgres())))
        grown = {"WALLFUL_DATABASE_URL": database, "WALLFUL_SECRET_KEY": "of this bench only " * 3}
        mail = {"WALLFUL_SMTP_HOST": "127.0.0.1", "WALLFUL_SMTP_PORT": str(port), "WALLFUL_SMTP_TLS": "0"}
        for engine, env in (
            ("PostgreSQL", environment(grown | mail | {"WALLFUL_DATA": str(folder)})),
            ("SQLite", laptop(folder, smtp_port=port)),
        ):
            run("-m", "tests.seed", "20", env=env)
            rows += _rows_of(engine, _measure(env, port=port))
    return rows


def _measure(env: dict[str, str], *, port: int) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.bench.mails", str(port)]
    done = subprocess.run(command, cwd=ROOT, env=env, check=True, stdout=subprocess.PIPE, text=True, timeout=200)
    measured: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return measured


def _rows_of(engine: str, measured: dict[str, Any]) -> Iterator[Row]:
    for kind, words in ((TRANSACTIONAL, "about orders"), (CAMPAIGN, "news, noted before and after")):
        yield Row(
            f"mails of {measured['bytes']} bytes through outbox and worker, {engine}, {words}",
            median(measured[kind]), median(measured["raw"]), "/s", "smtplib, one connection", 0.5, is_floor=True,
        )  # fmt: skip


def _main(port: int) -> None:
    """Measure in the database of the settings; print the rates as JSON."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    import django

    django.setup()
    from django.conf import settings
    from django.utils import timezone

    from campaign.mail_server import Letter
    from campaign.models import OutboxMessage, Show
    from campaign.tasks import sweep
    from tests.builders import place

    place(Show.objects.get(code="tideline"), now=timezone.now())
    model = OutboxMessage.objects.get()
    data = Letter.of(model, smtp=None).data
    rates: dict[str, Any] = {"raw": [], TRANSACTIONAL: [], CAMPAIGN: [], "bytes": len(data)}

    def raw() -> None:
        with smtplib.SMTP("127.0.0.1", port) as smtp:
            for _ in range(MAILS):
                smtp.sendmail(settings.DEFAULT_FROM_EMAIL, [model.recipient], data)

    def ours() -> None:
        while OutboxMessage.objects.filter(state="pending").exists():
            sweep()

    def timed(act: Any) -> float:
        started = perf_counter()
        act()
        return MAILS / (perf_counter() - started)

    sweep()
    for number in range(ROUNDS):
        for kind in (TRANSACTIONAL, CAMPAIGN):
            now = timezone.now()
            OutboxMessage.objects.bulk_create(
                OutboxMessage(
                    key=f"{kind}:{number}:{n}", name=model.name, kind=kind, show=model.show, subject=model.subject,
                    recipient=f"reader-{n}@example.org", text=model.text, html=model.html, headers=model.headers,
                    due_at=now, created_at=now,
                )
                for n in range(MAILS)
            )  # fmt: skip
            rates["raw"].append(timed(raw))
            rates[kind].append(timed(ours))
    unsent = OutboxMessage.objects.exclude(state="sent").count()
    assert unsent == 0, f"{unsent} mails were not sent"
    print(json.dumps(rates))


if __name__ == "__main__":
    _main(int(sys.argv[1]))

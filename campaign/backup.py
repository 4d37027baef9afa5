"""
A copy of the whole database with a manifest that says what is in it, and the way back.

Both engines; SQLite is copied by itself (VACUUM INTO, whole and consistent under writes), PostgreSQL by pg_dump from
the same snapshot that the manifest's figures are counted in. Copying a live database file would damage it.
"""

import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.apps import apps
from django.db import connection, transaction

from campaign.errors import NotReady
from campaign.models import Erasure

MANIFEST, KIND = "manifest.json", "wallful backup 1"
Fetch = Callable[[str], list[tuple[Any, ...]]]


@dataclass(frozen=True, slots=True)
class Manifest:
    """
    What a backup holds: rows of each table, the cash book's sums in minor units by show and accounts, and erasures.

    `sha256` is that of the database file beside it; `taken_at` is ISO 8601 in UTC.
    """

    kind: str
    engine: str
    taken_at: str
    file: str
    bytes: int
    sha256: str
    rows: dict[str, int]
    cash: dict[str, int]
    migrations: dict[str, str]
    erased_orders: list[str]


def write_backup(folder: Path, *, now: datetime) -> Manifest:
    """
    Copy the database into `folder`, which must not exist or be empty, and write the manifest last.

    A folder without a manifest is a backup that was cut short.
    Raises: NotReady for a folder in use, a missing pg_dump, or a disk that cannot take it.
    """
    if folder.exists() and any(folder.iterdir()):
        raise NotReady(f"{folder} is not empty. Name a new folder for each backup.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        folder.chmod(0o700)  # names and addresses of backers are in it
        manifest = _copy(folder, now=now)
        partial = folder / f"{MANIFEST}.part"
        partial.write_text(json.dumps(asdict(manifest), indent=1, sort_keys=True) + "\n", encoding="utf-8")
        _to_disk(partial)
        partial.replace(folder / MANIFEST)
    except (OSError, sqlite3.Error) as error:
        raise NotReady(f"The backup was not finished: {error}. Look at the disk and start again.") from error
    return manifest


def read_manifest(folder: Path) -> Manifest:
    """
    The manifest of a backup whose database file is as it was written.

    Raises: NotReady for anything else, in words.
    """
    try:
        manifest = Manifest(**json.loads((folder / MANIFEST).read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError) as error:
        raise NotReady(f"{folder} holds no finished backup: its {MANIFEST} cannot be read.") from error
    file = folder / Path(manifest.file).name
    if manifest.kind != KIND or not file.is_file():
        raise NotReady(f"{folder} holds no backup of this kind.")
    if _sha256(file) != manifest.sha256:
        raise NotReady(f"{file.name} is not as it was written: its checksum differs. Take another backup.")
    return manifest


def put_back(folder: Path, *, manifest: Manifest) -> None:
    """
    Put the database of a backup in the place of the present one; the site must not be running.

    Raises: NotReady if the backup is of another engine, damaged, or the database cannot be replaced.
    """
    if manifest.engine != connection.vendor:
        raise NotReady(f"This backup is of {manifest.engine}; the site runs on {connection.vendor}.")
    file = folder / Path(manifest.file).name
    if connection.vendor == "sqlite":
        _put_back_sqlite(file, target=Path(str(connection.settings_dict["NAME"])))
    else:
        _run(["pg_restore", "--clean", "--if-exists", "--no-owner", "--single-transaction", *_server(), str(file)])
    connection.close()


def differences(manifest: Manifest) -> Iterator[str]:
    """Where the database as it is now differs from the figures of `manifest`; sentences, none if all agree."""
    with connection.cursor() as cursor:

        def fetch(sql: str) -> list[tuple[Any, ...]]:
            cursor.execute(sql)
            return list(cursor.fetchall())

        rows, cash = _row_counts(fetch), _cash(fetch)
    for table in sorted({*manifest.rows, *rows}):
        if table in manifest.rows and manifest.rows[table] != rows.get(table):
            yield f"{table} has {rows.get(table)} rows, the backup {manifest.rows[table]}"
    for accounts in sorted({*manifest.cash, *cash}):
        here, there = cash.get(accounts, 0), manifest.cash.get(accounts, 0)
        if here != there:
            yield f"the cash book has {here} for {accounts}, the backup {there}"


def list_erased_orders() -> list[str]:
    """Orders whose person was removed; an older backup brings them back, so they are removed again."""
    return sorted(set(Erasure.objects.exclude(pledge_code="").values_list("pledge_code", flat=True)))


# --- copying ------------------------------------------------------------------------------------------------


def _copy(folder: Path, *, now: datetime) -> Manifest:
    if connection.vendor == "sqlite":
        file = folder / "wallful.sqlite3"
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [str(file)])
        with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as copy:
            figures = _figures(lambda sql: list(copy.execute(sql).fetchall()))
    else:
        file = folder / "wallful.pgdump"
        with _snapshot() as (fetch, name):
            figures = _figures(fetch)
            _run(["pg_dump", "--format=custom", f"--snapshot={name}", f"--file={file}", *_server()])
    _to_disk(file)
    return Manifest(
        kind=KIND,
        engine=connection.vendor,
        taken_at=now.isoformat(),
        file=file.name,
        bytes=file.stat().st_size,
        sha256=_sha256(file),
        **figures,
    )


@contextmanager
def _snapshot() -> Iterator[tuple[Fetch, str]]:
    """A PostgreSQL transaction that sees one moment, and the name under which pg_dump sees the same."""
    with transaction.atomic(durable=True), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        cursor.execute("SELECT pg_export_snapshot()")
        (name,) = cursor.fetchone()

        def fetch(sql: str) -> list[tuple[Any, ...]]:
            cursor.execute(sql)
            return list(cursor.fetchall())

        yield fetch, name


def _figures(fetch: Fetch) -> dict[str, Any]:
    newest = fetch("SELECT app, max(name) FROM django_migrations GROUP BY app")
    erased = fetch("SELECT DISTINCT pledge_code FROM campaign_erasure WHERE pledge_code <> ''")
    return {
        "rows": _row_counts(fetch),
        "cash": _cash(fetch),
        "migrations": {str(app): str(name) for app, name in newest},
        "erased_orders": sorted(str(code) for (code,) in erased),
    }


def _row_counts(fetch: Fetch) -> dict[str, int]:
    tables = sorted({model._meta.db_table for model in apps.get_models(include_auto_created=True)})
    return {table: int(fetch(f'SELECT count(*) FROM "{table}"')[0][0]) for table in tables}  # noqa: S608 - own names


def _cash(fetch: Fetch) -> dict[str, int]:
    rows = fetch(
        "SELECT s.code, e.debit, e.credit, e.currency, sum(e.amount_minor) FROM campaign_cashentry e "
        "JOIN campaign_show s ON s.id = e.show_id GROUP BY s.code, e.debit, e.credit, e.currency"
    )
    return {f"{show}: {debit} from {credit}, {currency}": int(total) for show, debit, credit, currency, total in rows}


def _put_back_sqlite(file: Path, *, target: Path) -> None:
    arriving = target.with_name(f"{target.name}.arriving")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(file, arriving)
        with closing(sqlite3.connect(arriving)) as copy:
            (verdict,) = copy.execute("PRAGMA integrity_check").fetchone()
        if verdict != "ok":
            raise NotReady(f"{file.name} is damaged: {verdict}. Nothing was replaced.")
        _to_disk(arriving)
        connection.close()
        for leaving in (target.with_name(f"{target.name}-wal"), target.with_name(f"{target.name}-shm")):
            leaving.unlink(missing_ok=True)  # they belong to the database that goes
        arriving.replace(target)
    except (OSError, sqlite3.Error) as error:
        raise NotReady(f"The database was not replaced: {error}.") from error
    finally:
        arriving.unlink(missing_ok=True)


def _server() -> list[str]:
    settings = connection.settings_dict
    named = {"--host": settings["HOST"], "--port": settings["PORT"], "--username": settings["USER"]}
    return [f"{option}={value}" for option, value in named.items() if value] + [f"--dbname={settings['NAME']}"]


def _run(command: list[str]) -> None:
    secret = {"PGPASSWORD": str(connection.settings_dict["PASSWORD"])}  # never in the list of processes
    try:
        done = subprocess.run(command, env={**os.environ, **secret}, capture_output=True, text=True, check=False)  # noqa: S603 - own words
    except FileNotFoundError as error:
        raise NotReady(f"{command[0]} is not installed here: it comes with PostgreSQL’s client tools.") from error
    if done.returncode != 0:
        said = (done.stderr.strip().splitlines() or ["no reason given"])[-1]
        raise NotReady(f"{command[0]} ended with: {said}")


def _to_disk(file: Path) -> None:
    with file.open("rb+") as open_file:
        os.fsync(open_file.fileno())


def _sha256(file: Path) -> str:
    with file.open("rb") as open_file:
        return hashlib.file_digest(open_file, "sha256").hexdigest()

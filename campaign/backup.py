"""
A copy of the whole database with a manifest that says what is in it, and the way back.

SQLite copies itself (VACUUM INTO, whole and consistent under writes; copying a live file would damage it). PostgreSQL
gives its tables by COPY from one snapshot, in which the manifest's figures are counted too: no client program is
needed, whose version would have to fit the server's. It is put back into an empty database only.
"""

import hashlib
import json
import os
import shutil
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.apps import apps
from django.core.management import call_command
from django.db import connection, transaction

from campaign.errors import NotReady
from campaign.models import Erasure

MANIFEST, KIND = "manifest.json", "wallful backup 1"
COLUMNS = "columns.json"
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
    Raises: NotReady for a folder in use, or a disk that cannot take it.
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
        _put_back_postgres(file, manifest=manifest)
    connection.close()


def differences(manifest: Manifest) -> Iterator[str]:
    """Where the database as it is now differs from the figures of `manifest`; sentences, none if all agree."""
    with connection.cursor() as cursor:
        rows, cash = _row_counts(_fetch_by(cursor)), _cash(_fetch_by(cursor))
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
        file = folder / "wallful.tables.zip"
        with transaction.atomic(durable=True), connection.cursor() as cursor:
            # All statements of this transaction see the same moment.
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            figures = _figures(_fetch_by(cursor))
            _copy_tables(file, columns=_columns(cursor, tables=list(figures["rows"])))
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


def _fetch_by(cursor: Any) -> Fetch:
    def fetch(sql: str) -> list[tuple[Any, ...]]:
        cursor.execute(sql)
        return list(cursor.fetchall())

    return fetch


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


def _columns(cursor: Any, *, tables: list[str]) -> dict[str, list[str]]:
    described = {table: connection.introspection.get_table_description(cursor, table) for table in tables}
    return {table: [column.name for column in columns] for table, columns in described.items()}


def _copy_sql(table: str, columns: list[str], where: str) -> str:
    names = ", ".join(connection.ops.quote_name(name) for name in columns)
    return f"COPY {connection.ops.quote_name(table)} ({names}) {where}"


def _copy_tables(file: Path, *, columns: dict[str, list[str]]) -> None:
    """Every table as PostgreSQL's own text, in the transaction that is open."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as archive:
        archive.writestr(COLUMNS, json.dumps(columns))
        for table, names in columns.items():
            sql = _copy_sql(table, names, "TO STDOUT")
            entry = archive.open(table, "w", force_zip64=True)
            with entry, connection.connection.cursor() as raw, raw.copy(sql) as copy:
                for block in copy:
                    entry.write(block)


def _put_back_postgres(file: Path, *, manifest: Manifest) -> None:
    with connection.cursor() as cursor:
        if connection.introspection.table_names(cursor):
            raise NotReady(
                "A PostgreSQL backup is put back into an empty database. Make one and name it in WALLFUL_DATABASE_URL."
            )
    # The tables as they were when the backup was taken; what has changed since is migrated afterwards.
    for app, name in sorted(manifest.migrations.items()):
        call_command("migrate", app, name, verbosity=0, interactive=False)
    with transaction.atomic(durable=True), zipfile.ZipFile(file) as archive:
        columns: dict[str, list[str]] = json.loads(archive.read(COLUMNS))
        with connection.cursor() as cursor:
            cursor.execute(f"TRUNCATE {', '.join(connection.ops.quote_name(table) for table in columns)} CASCADE")
        for table, names in columns.items():  # in any order: foreign keys are looked at when the transaction ends
            sql = _copy_sql(table, names, "FROM STDIN")
            with archive.open(table) as entry, connection.connection.cursor() as raw, raw.copy(sql) as copy:
                while block := entry.read(1 << 20):
                    copy.write(block)
        _set_sequences(list(columns))


def _set_sequences(tables: list[str]) -> None:
    """New rows go on counting where the old ones ended."""
    with connection.cursor() as cursor:
        for table in tables:
            for sequence in connection.introspection.get_sequences(cursor, table):
                column, name = connection.ops.quote_name(sequence["column"]), connection.ops.quote_name(table)
                place = "pg_get_serial_sequence(%s, %s)"
                cursor.execute(
                    f"SELECT setval({place}, coalesce(max({column}), 1), max({column}) IS NOT NULL) FROM {name}",  # noqa: S608
                    [name, sequence["column"]],
                )


def _to_disk(file: Path) -> None:
    with file.open("rb+") as open_file:
        os.fsync(open_file.fileno())


def _sha256(file: Path) -> str:
    with file.open("rb") as open_file:
        return hashlib.file_digest(open_file, "sha256").hexdigest()

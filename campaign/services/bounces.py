"""Mail that came back: reports read once, what they say about an address, and taking it back. Nothing is sent here."""

import hashlib
import logging
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from campaign.errors import NotReady
from campaign.models import Bounce, OutboxMessage
from campaign.returned import LARGEST_BYTES, NotAReport, Report, is_lasting, is_mbox, read_report, split_mbox
from campaign.services.rows import each

log = logging.getLogger(__name__)
Kind = Bounce.Kind
LONGEST_LINE = 65_536
MOST_SKIPPED = 200  # reasons kept; the number is exact


@dataclass(slots=True)
class Taken:
    """What came of reading: rows by kind, reports that were there already, and what was left aside with its reason."""

    hard: int = 0
    soft: int = 0
    known: int = 0
    skipped: int = 0
    reasons: list[str] = field(default_factory=list)

    def skip(self, name: str, *, why: str) -> None:
        """Leave one mail aside."""
        self.skipped += 1
        if len(self.reasons) < MOST_SKIPPED:  # a file name need not be text
            words = f"{name}: {why}".encode("utf-8", "replace").decode()
            self.reasons.append("".join(letter if letter.isprintable() else "�" for letter in words))


def take_mail(*, raw: bytes, name: str, taken: Taken, now: datetime) -> None:
    """
    Read one mail and keep what it reports; `name` says which it was where it is skipped.

    Writes: Bounce.
    Repeat: a report that was read before is counted as known.
    """
    try:
        reports = read_report(raw)
    except NotAReport as reason:
        taken.skip(name, why=str(reason))
        return
    for report in reports:
        _take(report, name=name, taken=taken, now=now)


@transaction.atomic(durable=True)
def _take(report: Report, *, name: str, taken: Taken, now: datetime) -> None:
    message = OutboxMessage.objects.filter(uid=report.uid).first() if report.uid else None
    email = message.recipient if message else _known_address(report)
    if not email:
        taken.skip(name, why="it is about no address that was ever written to from here")
        return
    # A report without the Message-ID of a mail to that address can be written by anybody: it never silences one, and
    # fills no more than one row.
    is_lasting_one = message is not None and report.action == "failed" and is_lasting(report.status)
    digest = report.digest if message else _digest(email, report.status)
    _, is_new = Bounce.objects.get_or_create(
        report_hash=digest,
        defaults={
            "email": email,
            "kind": Kind.HARD if is_lasting_one else Kind.SOFT,
            "status": report.status,
            "words": report.words,
            "message": message,
            "read_at": now,
        },
    )
    taken.known += not is_new
    taken.hard += is_new and is_lasting_one
    taken.soft += is_new and not is_lasting_one


def _known_address(report: Report) -> str:
    """The first address of the report that mail of ours went to, as it was written then."""
    for address in report.addresses:
        with suppress(ValidationError):
            validate_email(address)
            went = OutboxMessage.objects.filter(recipient__iexact=address).order_by("-pk")
            recipient = went.values_list("recipient", flat=True).first()
            if recipient:
                return recipient
    return ""


def _digest(email: str, status: str) -> str:
    return hashlib.sha256(f"unproved:{email.casefold()}:{status}".encode()).hexdigest()


def take_path(*, path: Path, taken: Taken, now: datetime) -> None:
    """
    Read a mail, a file of many (mbox) or a folder of many (maildir); what cannot be read is skipped with its reason.

    Writes: as `take_mail`; one transaction a report. Leaves the files as they are.
    Repeat: everything is known.
    """
    if path.is_dir():
        files = list(_maildir_files(path, "new", "cur"))
        if not files and not (path / "new").is_dir():
            taken.skip(str(path), why="neither a mail nor a maildir folder (one with new and cur in it)")
        for file in files:
            _take_file(file, taken=taken, now=now)
        return
    _take_file(path, taken=taken, now=now)


def _take_file(path: Path, *, taken: Taken, now: datetime) -> None:
    try:
        with path.open("rb") as file:
            take_stream(stream=file, name=path.name, taken=taken, now=now)
    except OSError as error:
        taken.skip(str(path), why=f"cannot be read ({error.strerror})")


def take_stream(*, stream: BinaryIO, name: str, taken: Taken, now: datetime) -> None:
    """The same from an open stream, which need not know how long it is."""
    first = stream.readline(LONGEST_LINE)
    if not is_mbox(first):
        take_mail(raw=first + stream.read(LARGEST_BYTES + 1 - len(first)), name=name, taken=taken, now=now)
        return
    mails = split_mbox(_lines(first, stream), most_bytes=LARGEST_BYTES)
    for number, raw in enumerate(mails, start=1):
        take_mail(raw=raw, name=f"{name}, mail {number}", taken=taken, now=now)


def _lines(first: bytes, stream: BinaryIO) -> Iterator[bytes]:
    yield first
    yield from iter(lambda: stream.readline(LONGEST_LINE), b"")


def _maildir_files(folder: Path, *parts: str) -> Iterator[Path]:
    """Mails of a maildir folder in the order of their names; nothing behind links."""
    for part in parts:
        inner = folder / part
        if inner.is_dir():
            files = (file for file in inner.iterdir() if not file.name.startswith("."))
            yield from sorted(file for file in files if file.is_file() and not file.is_symlink())


def take_new_mail(*, now: datetime, limit: int = 50) -> int:
    """
    Read what has come into the maildir that `WALLFUL_BOUNCES` names, and lay it from new to cur; what the sweep calls.

    Writes: as `take_mail`.
    Raises: NotReady where the folder is not there any more.
    Repeat: nothing is new. Returns how many mails were looked at.
    """
    if not settings.BOUNCES:
        return 0
    folder = Path(settings.BOUNCES)
    if not (folder / "new").is_dir():
        raise NotReady(f"WALLFUL_BOUNCES: {folder} is no maildir folder any more.")
    new = list(_maildir_files(folder, "new"))[:limit]
    return each(lambda file: _take_new(file, folder=folder, now=now), new)


def _take_new(file: Path, *, folder: Path, now: datetime) -> int:
    taken = Taken()
    _take_file(file, taken=taken, now=now)
    if taken.skipped:
        log.info("a mail among those returned was left aside: %s", taken.reasons[0].partition(": ")[2])
    with suppress(FileNotFoundError):  # another worker has laid it there
        (folder / "cur").mkdir(exist_ok=True)
        file.rename(folder / "cur" / f"{file.name}:2,S")
    return 1


@transaction.atomic(durable=True)
def write_again(*, email: str, now: datetime) -> int:
    """
    The artist knows that an address works: news goes there again. The reports stay, and count as passing ones.

    Writes: Bounce.kind.
    Repeat: nothing is left to change. Returns how many reports were changed.
    """
    return Bounce.objects.filter(email__iexact=email, kind=Kind.HARD).update(kind=Kind.SOFT)

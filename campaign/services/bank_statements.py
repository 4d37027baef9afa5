"""Reading statements of the bank in: a file becomes lines to be looked at. Nothing is booked here: see bank_lines."""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction

from campaign.errors import NotInThisState, Refusal
from campaign.models import BankLine, BankStatement, BankUpload, CsvLayout, Show
from campaign.statements import (
    CsvSheet,
    Layout,
    Statement,
    StatementRefused,
    is_camt,
    look_at_csv,
    number_alike,
    read_camt,
    read_csv,
)

KEEP_UPLOADS = timedelta(days=1)
MOST_SAVED_LAYOUTS = 200


@dataclass
class FileRefused(Refusal):
    """A file that is no statement; the sentence says where it broke."""

    why: str

    @property
    def sentence(self) -> str:
        return self.why


@dataclass(frozen=True, slots=True)
class ReadIn:
    """What reading a file did; where there is no statement, `upload` waits for its columns and nothing was read."""

    statement: BankStatement | None
    upload: BankUpload | None = None
    added: int = 0
    known: int = 0
    notes: tuple[str, ...] = ()


def take_file(*, show: Show, file_name: str, data: bytes, now: datetime) -> ReadIn:
    """
    Read a statement in. A CSV file whose headings are not known yet is kept until `read_upload` says what they mean.

    Writes: BankStatement, BankLine, all open; or BankUpload.
    Raises: FileRefused.
    Repeat: the same file gives its statement and adds nothing; a line that was read before stays as it is.
    """
    known = BankStatement.objects.filter(show=show, sha256=_digest(data)).first()
    if known:
        return ReadIn(known, known=known.lines.count())
    try:
        if is_camt(data):
            return _store(show=show, file_name=file_name, data=data, read=read_camt(data), kind="camt", now=now)
        sheet = look_at_csv(data, known=[layout.headings for layout in list_layouts()])
        layout = find_layout(sheet)
        if layout is None:
            return ReadIn(None, upload=_keep(show=show, file_name=file_name, data=data, now=now))
        read = read_csv(sheet, layout=layout, currency=show.currency)
    except StatementRefused as fault:
        raise FileRefused(str(fault)) from fault
    return _store(show=show, file_name=file_name, data=data, read=read, kind="csv", now=now)


def read_upload(*, upload: BankUpload, layout: Layout, name: str, now: datetime) -> ReadIn:
    """
    Read a waiting CSV file by `layout` and keep the layout under `name` for files with the same headings.

    Writes: BankStatement, BankLine, CsvLayout; the upload goes.
    Raises: FileRefused, and then the file waits on.
    Repeat: as `take_file`.
    """
    show, data = upload.show, bytes(upload.content)
    try:
        sheet = look_at_csv(data, known=[layout.headings])
        read = read_csv(sheet, layout=layout, currency=show.currency)
    except StatementRefused as fault:
        raise FileRefused(str(fault)) from fault
    done = _store(show=show, file_name=upload.file_name, data=data, read=read, kind="csv", now=now)
    with transaction.atomic(durable=True):
        _keep_layout(layout, name=name, now=now)
        BankUpload.objects.filter(pk=upload.pk).delete()
    return done


def upload_sheet(upload: BankUpload) -> CsvSheet:
    """The table in a waiting file. Raises: FileRefused."""
    try:
        return look_at_csv(bytes(upload.content), known=[layout.headings for layout in list_layouts()])
    except StatementRefused as fault:
        raise FileRefused(str(fault)) from fault


@transaction.atomic(durable=True)
def drop_upload(*, upload: BankUpload) -> None:
    """
    Forget a file that waits for its columns.

    Writes: BankUpload goes.
    Repeat: a file that is gone stays gone.
    """
    BankUpload.objects.filter(pk=upload.pk).delete()


def drop_old_uploads(*, now: datetime) -> int:
    """
    Forget files that wait for their columns for longer than a day; what the sweep calls.

    Writes: BankUpload goes.
    Repeat: nothing is left to do. Returns how many went.
    """
    old = BankUpload.objects.filter(sent_at__lt=now - KEEP_UPLOADS)
    if not old.exists():  # asked without the write lock, every two seconds
        return 0
    with transaction.atomic(durable=True):
        return old.delete()[0]


@transaction.atomic(durable=True)
def drop_statement(*, statement: BankStatement) -> None:
    """
    Take a statement out again that was read in by mistake.

    Writes: BankStatement and its lines go.
    Raises: NotInThisState once a line of it is booked.
    Repeat: a statement that is gone stays gone.
    """
    BankLine.objects.filter(statement=statement).exclude(state=BankLine.State.BOOKED).delete()
    if BankLine.objects.filter(statement=statement).exists():
        raise NotInThisState(what="This statement", state="in part in the cash book")
    BankStatement.objects.filter(pk=statement.pk).delete()


def list_layouts() -> list[Layout]:
    """Every layout that was kept."""
    return [Layout.from_json(row.columns) for row in CsvLayout.objects.all()[:MOST_SAVED_LAYOUTS]]


def find_layout(sheet: CsvSheet) -> Layout | None:
    """The layout that was kept for these headings."""
    row = CsvLayout.objects.filter(headings_sha256=_headings_digest(sheet.headings)).first()
    return Layout.from_json(row.columns) if row else None


def _keep_layout(layout: Layout, *, name: str, now: datetime) -> None:
    digest = _headings_digest(layout.headings)
    taken = CsvLayout.objects.filter(name=name).exclude(headings_sha256=digest).exists()
    name = f"{name[:60]} ({digest[:8]})" if taken else name
    CsvLayout.objects.update_or_create(
        headings_sha256=digest, defaults={"name": name, "columns": layout.as_json(), "written_at": now}
    )


@transaction.atomic(durable=True)
def _keep(*, show: Show, file_name: str, data: bytes, now: datetime) -> BankUpload:
    BankUpload.objects.filter(show=show).delete()  # one waits at a time: a new file takes the place of a forgotten one
    return BankUpload.objects.create(show=show, file_name=file_name[:160], content=data, sent_at=now)


def _store(*, show: Show, file_name: str, data: bytes, read: Statement, kind: str, now: datetime) -> ReadIn:
    if not read.movements:
        raise FileRefused(f"The file holds no booked movement. {' '.join(read.notes)}".strip())
    try:
        return _stored(show=show, file_name=file_name, data=data, read=read, kind=kind, now=now)
    except IntegrityError:  # the same file, or one that overlaps it, at the same moment
        return _stored(show=show, file_name=file_name, data=data, read=read, kind=kind, now=now)


@transaction.atomic(durable=True)
def _stored(*, show: Show, file_name: str, data: bytes, read: Statement, kind: str, now: datetime) -> ReadIn:
    statement, is_new = BankStatement.objects.get_or_create(
        show=show, sha256=_digest(data),
        defaults={"format": kind, "file_name": file_name[:160], "iban": read.iban, "read_at": now},
    )  # fmt: skip
    if not is_new:
        return ReadIn(statement, known=len(read.movements))
    numbered = number_alike(read.movements, scope=f"{show.code}\x1f{read.iban}")
    names = [name for name, _ in numbered]
    known: set[str] = set()
    for start in range(0, len(names), 500):
        part = names[start : start + 500]
        known |= set(BankLine.objects.filter(line_hash__in=part).values_list("line_hash", flat=True))
    lines = [
        BankLine(
            statement=statement, line_hash=name, same_before=before, booked_on=one.booked_on, value_on=one.value_on,
            amount_minor=one.amount_minor, fee_minor=one.fee_minor, currency=one.currency[:3],
            party_name=one.party_name, party_iban=one.party_iban, reference=one.reference, text=one.text,
            is_reversal=one.is_reversal,
        )
        for one, (name, before) in zip(read.movements, numbered, strict=True) if name not in known
    ]  # fmt: skip
    BankLine.objects.bulk_create(lines, batch_size=500)
    return ReadIn(statement, added=len(lines), known=len(read.movements) - len(lines), notes=read.notes)


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _headings_digest(headings: tuple[str, ...]) -> str:
    return hashlib.sha256("\x1f".join(headings).encode()).hexdigest()

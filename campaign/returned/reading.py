"""One delivery status notification (RFC 3464) from the bytes of a mail; says what it says, believes nothing."""

import hashlib
import re
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from email.message import Message
from email.parser import BytesParser
from email.policy import compat32

from campaign.returned.errors import NotAReport
from campaign.returned.status import find_status

LARGEST_BYTES = 1_000_000  # a report returns our own mail at most, and that is smaller
MOST_PARTS = 50
MOST_RECIPIENTS = 20  # of one report; our mails have one recipient each
LONGEST_WORDS = 300
LONGEST_ADDRESS = 254  # RFC 5321, 4.5.3.1.3
FAILED, DELAYED = "failed", "delayed"
_UID = re.compile(r"<\s*([0-9a-f]{8}-(?:[0-9a-f]{4}-){3}[0-9a-f]{12})@[^<>\s]{1,255}>", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Report:
    """
    One recipient of a report.

    `addresses`: the one that was written to and the one that failed, where the two differ. `uid`: of the mail that is
    returned, from its Message-ID; None where the report does not carry it. `digest`: the same report again has it too.
    """

    addresses: tuple[str, ...]
    action: str
    status: str
    words: str
    uid: uuid.UUID | None
    digest: str


def read_report(raw: bytes) -> tuple[Report, ...]:
    """
    What the mail `raw` reports, one entry a recipient that did not get it.

    Parameters: raw, one mail, with line ends of either kind.
    Raises: NotAReport, with a reason in words: no report, one of success, broken, too large. Nothing else.
    Notes: strangers write these bytes. Sizes, parts and recipients are limited; the standard library's reader meets
        what it may and fails how it likes.
    Source: RFC 3464, 2 and 2.3; RFC 6522 for the three parts; checked in tests/outside/test_rfc3464_bounces.py.
    """
    if len(raw) > LARGEST_BYTES:
        raise NotAReport(f"larger than {LARGEST_BYTES // 1000} kB")
    try:
        return _read(BytesParser(policy=compat32).parsebytes(raw))
    except NotAReport:
        raise
    except Exception as error:
        # A nest of a thousand parts ends in RecursionError, a broken header in whatever the library has for it.
        raise NotAReport(f"broken ({type(error).__name__})") from error


def _read(mail: Message) -> tuple[Report, ...]:
    parts = list(_walk(mail))
    status = next((part for part in parts if part.get_content_type() == "message/delivery-status"), None)
    if status is None:
        raise NotAReport("no delivery status notification in it")
    blocks = _blocks(status)
    uid = _returned_uid(parts)
    found = [_report(block, uid=uid) for block in blocks[1:] if _field(block, "Action") in (FAILED, DELAYED)]
    if not found:
        raise NotAReport("it reports no failed delivery")
    return tuple(found[:MOST_RECIPIENTS])


def _walk(mail: Message) -> Iterator[Message]:
    """The parts of the mail, the first `MOST_PARTS`; those of a returned mail inside are not the report's own."""
    waiting, seen = [mail], 0
    while waiting and seen < MOST_PARTS:
        part = waiting.pop(0)
        seen += 1
        yield part
        if part.get_content_maintype() == "multipart" and isinstance(part.get_payload(), list):
            waiting.extend(inner for inner in part.get_payload() if isinstance(inner, Message))


def _blocks(status: Message) -> list[Message]:
    """Fields about the mail, then a block of fields for each recipient (RFC 3464, 2.1)."""
    payload = status.get_payload()
    return [block for block in payload if isinstance(block, Message)] if isinstance(payload, list) else []


def _report(block: Message, *, uid: uuid.UUID | None) -> Report:
    said = _text(block, "Diagnostic-Code")
    status = find_status(_text(block, "Status"))
    if status in ("", "4.0.0", "5.0.0"):  # the server's own answer often says more
        status = find_status(said) or status
    addresses = tuple(dict.fromkeys(filter(None, (_address(block, name) for name in _RECIPIENTS))))
    action = _field(block, "Action")
    named = "\n".join((*addresses, action, status, said, str(uid), _text(block, "Last-Attempt-Date")))
    digest = hashlib.sha256(named.casefold().encode("utf-8", "replace")).hexdigest()
    return Report(addresses, action, status[:12], said.partition(";")[2].strip()[:LONGEST_WORDS], uid, digest)


_RECIPIENTS = ("Original-Recipient", "Final-Recipient")


def _address(block: Message, name: str) -> str:
    """The mailbox of `rfc822; mary@example.org`; empty for other kinds of address and what cannot be one."""
    kind, _, address = _text(block, name).partition(";")
    plain = address.strip().strip("<>").strip()
    is_one = (
        kind.partition("(")[0].strip().casefold() == "rfc822"
        and plain.count("@") == 1
        and len(plain) <= LONGEST_ADDRESS
    )
    return plain if is_one and not set(plain) & {" ", "\ufffd"} else ""


def _returned_uid(parts: list[Message]) -> uuid.UUID | None:
    """From the Message-ID of the mail that is returned, whole or its headers only."""
    for part in parts:
        returned = _returned(part)
        match = _UID.fullmatch(_text(returned, "Message-ID")) if returned is not None else None
        if match:
            return uuid.UUID(match.group(1))
    return None


def _returned(part: Message) -> Message | None:
    kind, payload = part.get_content_type(), part.get_payload()
    if kind == "message/rfc822" and isinstance(payload, list) and isinstance(payload[0], Message):
        return payload[0]
    if kind == "text/rfc822-headers":
        headers = part.get_payload(decode=True)
        return (
            BytesParser(policy=compat32).parsebytes(headers, headersonly=True) if isinstance(headers, bytes) else None
        )
    return None


def _field(block: Message, name: str) -> str:
    return _text(block, name).casefold()


def _text(block: Message, name: str) -> str:
    """A field as one printable line."""
    words = " ".join(str(block.get(name, "")).split())
    return "".join(letter if letter.isprintable() else "�" for letter in words)[:2000]

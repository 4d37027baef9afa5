"""
One mail to the mail server, and what the server says to it. Knows the row of a mail, changes none.

The only module that speaks to the mail server.
"""

import logging
import smtplib
from collections.abc import Sequence
from contextlib import suppress
from email.utils import format_datetime, parseaddr
from functools import lru_cache
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.smtp import EmailBackend
from django.utils import timezone

from campaign.errors import TemporaryFailure
from campaign.letters import ascii_address, compose
from campaign.models import OutboxMessage
from campaign.returned import find_status

log = logging.getLogger(__name__)
Reply = tuple[int, bytes]


class RecipientRefused(TemporaryFailure):
    """The mail server does not know the recipient; `answer` is what it said."""

    def __init__(self, message: str, *, permanent: bool, answer: str) -> None:
        super().__init__(message, permanent=permanent)
        self.answer = answer


class ServerAway(TemporaryFailure):
    """The mail server takes no mail at all just now; says nothing against the message it was met with."""


def send(message: OutboxMessage, *, smtp: Any) -> None:
    """
    Hand one message to the mail server.

    Raises: ServerAway for silence, a refused sign-in or sender; TemporaryFailure for a refused message, permanent for
    answers of the 500 class.
    """
    try:
        _hand_over(Letter.of(message, smtp=smtp), smtp=smtp)
    except smtplib.SMTPRecipientsRefused as error:
        ((code, said),) = error.recipients.values()  # a mail has one recipient
        answer = _one_line(code, said)
        raise RecipientRefused(f"recipient refused: {code}", permanent=code >= 500, answer=answer) from error
    except smtplib.SMTPDataError as error:
        answer = _one_line(error.smtp_code, error.smtp_error)
        if find_status(answer).startswith("5.1."):  # some servers know only now that there is no such address
            raise RecipientRefused(f"recipient refused: {error.smtp_code}", permanent=True, answer=answer) from error
        raise TemporaryFailure(f"mail refused: {error.smtp_code}", permanent=error.smtp_code >= 500) from error
    except smtplib.SMTPResponseException as error:  # greeting, sign-in or sender: the artist's to mend, for all mail
        smtp.close()
        raise ServerAway(f"mail server: {error.smtp_code}") from error
    except (OSError, smtplib.SMTPException) as error:
        smtp.close()  # the next message opens a fresh connection
        raise ServerAway(f"mail server not reached: {type(error).__name__}") from error
    except Exception as error:  # a message that cannot be put into words for the server must not keep the others
        log.exception("mail %s (%s) cannot be written", message.pk, message.name)
        smtp.close()
        raise TemporaryFailure(f"cannot be written: {type(error).__name__}") from error


class Letter(EmailMessage):
    """A composed mail, for Django's backends: they find an envelope, and bytes where they look for a tree of parts."""

    data: bytes

    @classmethod
    def of(cls, message: OutboxMessage, *, smtp: Any) -> "Letter":
        """The mail of a row. Raises: ValueError for one that cannot be put into words for a server."""
        sender, recipient = settings.DEFAULT_FROM_EMAIL, ascii_address(message.recipient)
        domain = sender.rpartition("@")[2].rstrip(">")
        letter = cls(from_email=sender, to=[recipient], connection=smtp)
        letter.data = compose(
            headers={
                "Subject": message.subject, "From": sender, "To": recipient, "Date": format_datetime(timezone.now()),
                "Message-ID": f"<{message.uid}@{domain}>", "Auto-Submitted": "auto-generated", **message.headers,
            },
            text=message.text, html=message.html, boundary=message.uid.hex,
        )  # fmt: skip
        return letter

    def message(self) -> Any:  # type: ignore[override]  # a backend uses no more of a tree than what stands below
        """What a backend asks for."""
        return self

    def as_bytes(self, *, linesep: str = "\n") -> bytes:
        """And what it asks that for."""
        return self.data if linesep == "\r\n" else self.data.replace(b"\r\n", b"\n")

    def get_charset(self) -> None:
        """None of its own: the parts have theirs."""


def _hand_over(letter: Letter, *, smtp: Any) -> None:
    """Send over the connection that is open, or over a new one where the server has closed it meanwhile."""
    if not isinstance(smtp, EmailBackend):  # files and the like: each mail is opened and closed by itself
        letter.send()
        return
    is_kept = not smtp.open()
    try:
        _talk(smtp, letter)
    except (smtplib.SMTPServerDisconnected, smtplib.SMTPSenderRefused) as error:
        if not is_kept or getattr(error, "smtp_code", 421) != 421:  # 421: so many for one connection and no more
            raise
        smtp.close()
        smtp.open()
        _talk(smtp, letter)


def _talk(smtp: EmailBackend, letter: Letter) -> None:
    """
    MAIL, RCPT, DATA (RFC 5321, 3.3): what smtplib's `sendmail` does, for one recipient and bytes that need no mending.

    That one goes through each mail twice in search of line ends and dots and parses both addresses anew, which takes
    about as long as a server takes to accept the mail.
    """
    server = smtp.connection
    assert isinstance(server, smtplib.SMTP)
    server.ehlo_or_helo_if_needed()
    sender, [recipient] = _bare(letter.from_email), letter.to
    size = f" SIZE={len(letter.data)}" if server.has_extn("size") else ""
    commands = [f"MAIL FROM:<{sender}>{size}", f"RCPT TO:<{recipient}>", "DATA"]
    ask = _ask_at_once if server.has_extn("pipelining") else _ask_in_turn
    from_, to, data = ask(server, commands)
    if from_[0] == 250 and to[0] in (250, 251) and data[0] == 354:
        server.send(letter.data.replace(b"\r\n.", b"\r\n..") + b".\r\n")  # no mail begins with a dot
        data = server.getreply()
        if data[0] == 250:
            return
    elif data[0] == 354:
        server.send(b".\r\n")  # it waits for a mail to nobody (RFC 2920, 3.1)
        server.getreply()
    _start_over(server, is_leaving=421 in (from_[0], to[0], data[0]))
    if from_[0] != 250:
        raise smtplib.SMTPSenderRefused(*from_, sender)
    if to[0] not in (250, 251):
        raise smtplib.SMTPRecipientsRefused({recipient: to})
    raise smtplib.SMTPDataError(*data)


def _ask_in_turn(server: smtplib.SMTP, commands: Sequence[str]) -> list[Reply]:
    """Each command once the one before was taken; what was not asked any more counts as refused."""
    replies: list[Reply] = []
    for command in commands:
        replies.append(server.docmd(command) if all(code < 400 for code, _ in replies) else (503, b"not asked"))
    return replies


def _ask_at_once(server: smtplib.SMTP, commands: Sequence[str]) -> list[Reply]:
    """All commands in one go, for a server that offers it (RFC 2920): one wait instead of three."""
    if any("\r" in command or "\n" in command for command in commands):
        raise ValueError("a command is one line")
    server.send("".join(f"{command}\r\n" for command in commands))
    return [server.getreply() for _ in commands]


def _start_over(server: smtplib.SMTP, *, is_leaving: bool) -> None:
    """After a refusal the server forgets the mail, so that the next one can begin; with 421 it is leaving (4.3.5)."""
    if is_leaving:
        server.close()
        return
    with suppress(smtplib.SMTPServerDisconnected):
        server.rset()


@lru_cache(maxsize=8)
def _bare(address: str) -> str:
    """The address in a sender with a name."""
    return parseaddr(address)[1]


def _one_line(code: int, said: bytes | str) -> str:
    words = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
    return "".join(letter if letter.isprintable() else " " for letter in f"{code} {words}")

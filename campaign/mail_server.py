"""
Mails to the mail server one after the other, and what it says to each. Knows the rows of mails, changes none.

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


def send(message: OutboxMessage, *, line: "Line", following: OutboxMessage | None = None) -> None:
    """
    Hand one message to the mail server; `following` is the one that comes next, if it is known.

    Raises: ServerAway for silence, a refused sign-in or sender; TemporaryFailure for a refused message, permanent for
    answers of the 500 class.
    """
    try:
        line.hand_over(message, following=following)
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
        line.close()
        raise ServerAway(f"mail server: {error.smtp_code}") from error
    except (OSError, smtplib.SMTPException) as error:
        line.close()  # the next message opens a fresh connection
        raise ServerAway(f"mail server not reached: {type(error).__name__}") from error
    except Exception as error:  # a message that cannot be put into words for the server must not keep the others
        log.exception("mail %s (%s) cannot be written", message.pk, message.name)
        line.close()
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


class Line:
    """
    The way to the mail server, for mails that follow each other; one connection as long as the server keeps it.

    Where the server allows it, what is to be asked about the next mail goes out with the text of this one (RFC 2920,
    3.1): a mail is then one wait. Its text does not: that is sent when its turn has come.
    """

    def __init__(self, smtp: Any) -> None:
        self._smtp = smtp
        self._asked: tuple[int, Letter] | None = None  # asked about, the answers not read yet

    def hand_over(self, message: OutboxMessage, *, following: OutboxMessage | None) -> None:
        """Send over the connection that is open, or over a new one where the server has closed it meanwhile."""
        if self._asked and self._asked[0] != message.pk:
            self.close()  # the server waits for a text that does not come any more
        is_asked = self._asked is not None
        letter, self._asked = self._asked[1] if self._asked else Letter.of(message, smtp=self._smtp), None
        if not isinstance(self._smtp, EmailBackend):  # files and the like: each mail is opened and closed by itself
            letter.send()
            return
        is_kept = not self._smtp.open()
        try:
            self._talk(letter, is_asked=is_asked, following=following)
        except (smtplib.SMTPServerDisconnected, smtplib.SMTPSenderRefused) as error:
            # 421: so many for one connection and no more. What was asked early is asked once more in its turn.
            if not is_kept or (not is_asked and getattr(error, "smtp_code", 421) != 421):
                raise
            self.close()
            self._smtp.open()
            self._talk(letter, is_asked=False, following=following)

    def close(self) -> None:
        """Take leave; not in words while the server waits for the text of a mail, or it would be taken for one."""
        if self._asked and isinstance(self._smtp.connection, smtplib.SMTP):
            self._smtp.connection.close()
        self._asked = None
        self._smtp.close()

    def _talk(self, letter: Letter, *, is_asked: bool, following: OutboxMessage | None) -> None:
        """
        MAIL, RCPT, DATA (RFC 5321, 3.3): what smtplib's `sendmail` does, for one recipient and bytes without mistakes.

        That one goes through each mail twice in search of line ends and dots and parses both addresses anew, which
        takes about as long as a server takes to accept the mail.
        """
        server = self._smtp.connection
        assert isinstance(server, smtplib.SMTP)
        server.ehlo_or_helo_if_needed()
        is_quick = server.has_extn("pipelining")
        if not is_asked:
            envelope = _envelope(letter, server)
            replies = _ask_at_once(server, envelope) if is_quick else _ask_in_turn(server, envelope)
        else:
            replies = [server.getreply() for _ in range(3)]
        from_, to, data = replies
        if from_[0] == 250 and to[0] in (250, 251) and data[0] == 354:
            text = letter.data.replace(b"\r\n.", b"\r\n..") + b".\r\n"  # no mail begins with a dot
            following_asked = self._made_ready(following, server) if is_quick else None
            server.send(text + following_asked[2] if following_asked else text)
            data = server.getreply()
            self._asked = following_asked[:2] if following_asked else None
            if data[0] == 250:
                return
        elif data[0] == 354:
            server.send(b".\r\n")  # it waits for a mail to nobody (RFC 2920, 3.1)
            server.getreply()
        if 421 in (from_[0], to[0], data[0]):  # it is leaving (4.3.5)
            self.close()
        elif not self._asked:
            _start_over(server)
        if from_[0] != 250:
            raise smtplib.SMTPSenderRefused(*from_, _bare(letter.from_email))
        if to[0] not in (250, 251):
            raise smtplib.SMTPRecipientsRefused({letter.to[0]: to})
        raise smtplib.SMTPDataError(*data)

    def _made_ready(self, following: OutboxMessage | None, server: smtplib.SMTP) -> tuple[int, Letter, bytes] | None:
        """The next mail and what to ask about it; None where there is none, or one to be stumbled over in its turn."""
        if following is None:
            return None
        try:
            letter = Letter.of(following, smtp=self._smtp)
            return following.pk, letter, _in_one_go(_envelope(letter, server))
        except Exception:  # whatever is wrong with it says nothing against the mail before it
            return None


def _envelope(letter: Letter, server: smtplib.SMTP) -> list[str]:
    sender, [recipient] = _bare(letter.from_email), letter.to
    size = f" SIZE={len(letter.data)}" if server.has_extn("size") else ""
    return [f"MAIL FROM:<{sender}>{size}", f"RCPT TO:<{recipient}>", "DATA"]


def _ask_in_turn(server: smtplib.SMTP, commands: Sequence[str]) -> list[Reply]:
    """Each command once the one before was taken; what was not asked any more counts as refused."""
    replies: list[Reply] = []
    for command in commands:
        replies.append(server.docmd(command) if all(code < 400 for code, _ in replies) else (503, b"not asked"))
    return replies


def _ask_at_once(server: smtplib.SMTP, commands: Sequence[str]) -> list[Reply]:
    """All commands in one go, for a server that offers it (RFC 2920): one wait instead of three."""
    server.send(_in_one_go(commands))
    return [server.getreply() for _ in commands]


def _in_one_go(commands: Sequence[str]) -> bytes:
    if any("\r" in command or "\n" in command for command in commands):
        raise ValueError("a command is one line")
    return "".join(f"{command}\r\n" for command in commands).encode("ascii")


def _start_over(server: smtplib.SMTP) -> None:
    """After a refusal the server forgets the mail, so that the next one can begin."""
    with suppress(smtplib.SMTPServerDisconnected):
        server.rset()


@lru_cache(maxsize=8)
def _bare(address: str) -> str:
    """The address in a sender with a name."""
    return parseaddr(address)[1]


def _one_line(code: int, said: bytes | str) -> str:
    words = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
    return "".join(letter if letter.isprintable() else " " for letter in f"{code} {words}")

"""A real SMTP server that keeps what it is sent, for the tests to read."""

import logging
import re
import socket
import time
from collections.abc import Callable
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller

PATIENCE_S = 30.0
logging.getLogger("mail.log").setLevel(logging.WARNING)  # else every line of the talk stands in a failure’s report


class Sink:
    """Listens on a free port of this machine; `mails` are those that came, the oldest first."""

    def __init__(self) -> None:
        self.mails: list[EmailMessage] = []
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        self._controller = Controller(self, hostname="127.0.0.1", port=self.port)
        self._controller.start()

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        """Keep one mail."""
        mail = message_from_bytes(envelope.content, policy=policy.default)
        assert isinstance(mail, EmailMessage)
        self.mails.append(mail)
        return "250 kept"

    def to(self, address: str) -> list[EmailMessage]:
        """The mails for one address."""
        return [mail for mail in self.mails if address in str(mail["To"])]

    def wait_for(self, is_wanted: Callable[[EmailMessage], bool], *, count: int = 1) -> list[EmailMessage]:
        """The mails that fit, once there are `count` of them."""
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            found = [mail for mail in list(self.mails) if is_wanted(mail)]
            if len(found) >= count:
                return found
            time.sleep(0.1)
        came = [f"{mail['To']}: {mail['Subject']}" for mail in self.mails]
        raise AssertionError(f"waited {PATIENCE_S:.0f} s for {count} mails; too few of these fit: {came}")

    def close(self) -> None:
        """Stop listening."""
        self._controller.stop()


def text_of(mail: EmailMessage) -> str:
    """The plain part."""
    part = mail.get_body(("plain",))
    assert part is not None, "a mail without a plain part"
    return str(part.get_content())


def link_in(mail: EmailMessage, path: str) -> str:
    """The first address in the plain part whose path begins with `path`, such as "/m/"."""
    found = re.search(rf"http://127\.0\.0\.1:\d+({re.escape(path)}\S*)", text_of(mail))
    assert found, f"no link to {path}… in “{mail['Subject']}”"
    return found[1]

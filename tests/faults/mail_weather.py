"""A mail server in bad weather: it loses connections, puts mail off, and can be gone for a while."""

from typing import Any

from aiosmtpd.controller import Controller

from tests.browser.sink import Sink

DROPS_EVERY, PUTS_OFF_EVERY = 50, 20


class RoughSink(Sink):
    """Of the mails it is handed, it cuts the line at every 50th and puts off every 20th; what it answers 250 it has."""

    def __init__(self) -> None:
        self.handed = self.dropped = self.put_off = 0
        super().__init__()

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        """Keep one mail, or not."""
        self.handed += 1
        if self.handed % DROPS_EVERY == 0:
            self.dropped += 1
            server.transport.abort()
            return "421 gone"
        if self.handed % PUTS_OFF_EVERY == 0:
            self.put_off += 1
            return "451 later, please"
        return await super().handle_DATA(server, session, envelope)

    def reopen(self) -> None:
        """Listen again, at the same address."""
        self._controller = Controller(self, hostname="127.0.0.1", port=self.port)
        self._controller.start()

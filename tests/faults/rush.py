"""People who order while the site is killed or copied: all try again, with the same submit, until it says yes."""

import contextlib
import http.client
import queue
import threading
import time
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field

from tests.buyers import Buyer, NotAcknowledged

PATIENCE_S = 90.0


@dataclass
class Rush:
    """`count` orders by `people` at once; `codes` are the acknowledged ones by e-mail address."""

    buyer: Callable[[], Buyer]
    count: int
    people: int = 4
    pause_s: float = 0.0
    codes: dict[str, str] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)
    tries: int = 0

    def __post_init__(self) -> None:
        self._waiting: queue.SimpleQueue[int] = queue.SimpleQueue()
        for number in range(self.count):
            self._waiting.put(number)
        self._threads = [threading.Thread(target=self._come, daemon=True) for _ in range(self.people)]

    def start(self) -> None:
        """Let them in."""
        for thread in self._threads:
            thread.start()

    @property
    def is_over(self) -> bool:
        """Nobody is left."""
        return not any(thread.is_alive() for thread in self._threads)

    def stop(self) -> None:
        """Nobody new comes; who is ordering gets an answer."""
        with contextlib.suppress(queue.Empty):
            while True:
                self._waiting.get_nowait()
                self.count -= 1

    def wait(self) -> None:
        """Until everybody has an answer."""
        for thread in self._threads:
            thread.join(PATIENCE_S * 4)

    def _come(self) -> None:
        buyer = self.buyer()
        while True:
            try:
                number = self._waiting.get_nowait()
            except queue.Empty:
                return
            self._order(buyer, email=f"rush-{number}@example.org")
            time.sleep(self.pause_s)

    def _order(self, buyer: Buyer, *, email: str) -> None:
        key = uuid.uuid4()
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            self.tries += 1
            try:
                self.codes[email] = buyer.order(email=email, key=key)
            except NotAcknowledged as answer:
                self.refused.append(f"{email}: {answer}")
                return
            except (OSError, http.client.HTTPException):  # killed under us: what a browser's "try again" does
                time.sleep(0.1)
            else:
                return
        self.refused.append(f"{email}: no answer in {PATIENCE_S:.0f} s")

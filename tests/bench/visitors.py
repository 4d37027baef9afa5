"""
A crowd over HTTP from one thread: keep-alive connections, raw sockets, as little work for the client as can be.

The client shares the machine with what it measures, so whatever it costs is taken from both sides of a ratio.
"""

import selectors
import socket
from collections.abc import Iterator
from dataclasses import dataclass, field
from statistics import median
from time import perf_counter
from typing import NamedTuple

PATIENCE_S = 60.0


class Answer(NamedTuple):
    """What came back, and how long it took from the first byte sent to the last one read."""

    status: int
    seconds: float
    head: bytes
    size_bytes: int


@dataclass
class Crowd:
    """All answers of one run, and the seconds it took as a whole."""

    answers: list[Answer]
    seconds: float

    @property
    def per_second(self) -> float:
        """Answers a second."""
        return len(self.answers) / self.seconds

    @property
    def median_s(self) -> float:
        """Half of them were quicker."""
        return median(one.seconds for one in self.answers)

    @property
    def p99_s(self) -> float:
        """One in a hundred took longer."""
        return sorted(one.seconds for one in self.answers)[int(len(self.answers) * 0.99)]

    def statuses(self) -> set[int]:
        """Every status that was answered."""
        return {one.status for one in self.answers}


@dataclass
class _Visitor:
    """One connection; at most one request is under way on it."""

    place: tuple[str, int]
    sock: socket.socket | None = None
    request: bytes = b""
    started: float = 0.0
    parts: list[bytes] = field(default_factory=list)
    head: bytes = b""
    missing: int = -1
    tries: int = 0

    def ask(self, request: bytes) -> None:
        """Send the next request; a connection the server has closed meanwhile is opened again."""
        self.request, self.parts, self.head, self.missing, self.tries = request, [], b"", -1, 0
        self.started = perf_counter()
        self._send()

    def _send(self) -> None:
        if self.sock is None:
            self.sock = socket.create_connection(self.place, timeout=PATIENCE_S)
            self.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self.sock.sendall(self.request)

    def close(self) -> None:
        """Hang up."""
        if self.sock is not None:
            self.sock.close()
        self.sock = None

    def read(self) -> Answer | None:
        """What has come; the answer once all of it is there, None before. Raises: ConnectionError."""
        assert self.sock is not None
        data = self.sock.recv(262_144)
        if not data:
            return self._again()
        if self.missing < 0:
            self.parts.append(data)
            head, blank, body = b"".join(self.parts).partition(b"\r\n\r\n")
            if not blank:
                return None
            self.head, self.missing = head, _length(head) - len(body)
        else:
            self.missing -= len(data)
        if self.missing > 0:
            return None
        answer = Answer(int(self.head[9:12]), perf_counter() - self.started, self.head, _length(self.head))
        if b"connection: close" in self.head.lower():
            self.close()
        return answer

    def _again(self) -> None:
        """A kept connection was closed as the request went out: what every browser does then."""
        if self.parts or self.tries:
            raise ConnectionError(f"hung up in the middle of an answer to {self.request[:80]!r}")
        self.tries += 1
        self.close()
        self._send()


def _length(head: bytes) -> int:
    for line in head.split(b"\r\n")[1:]:
        name, _, value = line.partition(b":")
        if name.lower() == b"content-length":
            return int(value)
    if head[9:12] in (b"304", b"204"):
        return 0
    raise ValueError(f"an answer without a length: {head[:300]!r}")


def send_crowd(place: tuple[str, int], requests: Iterator[bytes], *, visitors: int) -> Crowd:
    """
    Let `visitors` ask at the same time, each the next of `requests` as soon as its last is answered.

    Returns: every answer, in the order they came. Raises: OSError where one does not come.
    """
    waiting = selectors.DefaultSelector()
    answers: list[Answer] = []
    started = perf_counter()

    def ask_next(visitor: _Visitor) -> None:
        request = next(requests, None)
        if request is None:
            visitor.close()
            return
        visitor.ask(request)
        assert visitor.sock is not None
        waiting.register(visitor.sock, selectors.EVENT_READ, visitor)

    for _ in range(visitors):
        ask_next(_Visitor(place))
    while waiting.get_map():
        ready = waiting.select(timeout=PATIENCE_S)
        if not ready:
            raise TimeoutError(f"no answer in {PATIENCE_S:.0f} s; {len(answers)} came")
        for key, _ in ready:
            visitor: _Visitor = key.data
            waiting.unregister(key.fileobj)
            answer = visitor.read()
            if answer is None:
                assert visitor.sock is not None
                waiting.register(visitor.sock, selectors.EVENT_READ, visitor)
                continue
            answers.append(answer)
            ask_next(visitor)
    return Crowd(answers, perf_counter() - started)


def get(path: str, *, host: str) -> bytes:
    """A stranger's GET, with what a browser says of compression."""
    return f"GET {path} HTTP/1.1\r\nHost: {host}\r\nAccept-Encoding: gzip, deflate, br\r\nAccept: */*\r\n\r\n".encode()

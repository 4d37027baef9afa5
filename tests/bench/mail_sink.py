"""
The least that is a mail server: `python -m tests.bench.mail_sink` prints its port and takes every mail without a look.

A process of its own, so that what is measured is the sender and not how two threads share an interpreter.
"""

import contextlib
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator

from tests.processes import ROOT


def talk(connection: socket.socket) -> None:
    """One connection, until the client leaves (RFC 5321), with SIZE and PIPELINING as nearly every server has them."""
    connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    with connection, connection.makefile("rb") as lines:
        connection.sendall(b"220 sink\r\n")
        for line in lines:
            word = line[:4].upper()
            if word == b"EHLO":
                connection.sendall(b"250-sink\r\n250-PIPELINING\r\n250 SIZE 10000000\r\n")
            elif word == b"DATA":
                connection.sendall(b"354 go on\r\n")
                while lines.readline() not in (b".\r\n", b""):
                    pass
                connection.sendall(b"250 kept\r\n")
            elif word == b"QUIT":
                connection.sendall(b"221 bye\r\n")
                return
            else:
                connection.sendall(b"250 ok\r\n")


def main() -> None:
    """Listen until killed."""
    server = socket.create_server(("127.0.0.1", 0))
    print(server.getsockname()[1], flush=True)
    while True:
        connection, _ = server.accept()
        threading.Thread(target=talk, args=(connection,), daemon=True).start()


@contextlib.contextmanager
def sinking() -> Iterator[int]:
    """A sink while the block runs; its port."""
    command = [sys.executable, "-m", "tests.bench.mail_sink"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            yield int(process.stdout.readline())
        finally:
            process.kill()


if __name__ == "__main__":
    main()

"""What is said to a mail server word for word, with and without pipelining (RFC 5321, RFC 2920), and its refusals."""

import socket
import threading

import pytest

from campaign import outbox
from campaign.models import Bounce, OutboxMessage
from tests.builders import NOW, place

State = OutboxMessage.State
PIPELINING = b"250-here\r\n250-PIPELINING\r\n250 SIZE 10000000\r\n"
SAYS = {b"EHLO": PIPELINING, b"DATA": b"354 go on\r\n", b"QUIT": b"221 bye\r\n"}
NO = b"503 5.5.1 no\r\n"


class Server:
    """A mail server that answers each word as `says` has it, and keeps every line it was sent."""

    def __init__(self, **says):
        self.says = SAYS | {word.encode(): answer for word, answer in says.items()}
        self.lines, self.bodies = [], []
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = self._listening.getsockname()[1]
        threading.Thread(target=self._serve, daemon=True).start()

    def _serve(self):
        while True:
            connection, _ = self._listening.accept()
            with connection, connection.makefile("rb") as sent:
                connection.sendall(b"220 here\r\n")
                while line := sent.readline():
                    self.lines.append(line)
                    answer = self.says.get(line[:4].upper(), b"250 ok\r\n")
                    connection.sendall(answer)
                    if line[:4] == b"DATA" and answer.startswith(b"354"):
                        self.bodies.append(b"".join(iter(sent.readline, b".\r\n")))
                        connection.sendall(self.says.get(b"BODY", b"250 kept\r\n"))

    @property
    def words(self):
        return [line[:4].decode() for line in self.lines]


@pytest.fixture
def serve(settings):
    def start(**says):
        server = Server(**says)
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_USE_TLS = "127.0.0.1", server.port, False
        return server

    return start


OFFERS = pytest.mark.parametrize("offers", [PIPELINING, b"250-here\r\n250 SIZE 10000000\r\n"])


@OFFERS
def test_two_mails_go_over_one_connection(show, serve, offers):
    server = serve(EHLO=offers)
    place(show)
    place(show)
    assert outbox.deliver_due(now=NOW) == 2
    assert [word for word in server.words if word != "quit"] == ["ehlo", *["MAIL", "RCPT", "DATA"] * 2]
    assert all(b"SIZE=" in line for line in server.lines if line.startswith(b"MAIL"))
    assert len(server.bodies) == 2


@OFFERS
@pytest.mark.parametrize("data", [b"354 go on\r\n", b"554 5.5.1 no valid recipients\r\n"])
def test_a_refused_recipient_is_noted_and_the_next_mail_goes_out(show, serve, offers, data):
    server = serve(EHLO=offers, RCPT=b"550 5.1.1 no such mailbox\r\n", DATA=data, BODY=b"554 5.5.1 nobody\r\n")
    place(show)
    assert outbox.deliver_due(now=NOW) == 0
    message = OutboxMessage.objects.get()
    assert (message.state, message.last_error) == (State.STUCK, "recipient refused: 550")
    assert Bounce.objects.get().status == "5.1.1"
    assert all(body == b"" for body in server.bodies)  # nothing of the mail went to nobody
    del server.says[b"RCPT"], server.says[b"BODY"]
    server.says[b"DATA"] = b"354 go on\r\n"
    place(show)
    assert outbox.deliver_due(now=NOW) == 1


@OFFERS
@pytest.mark.parametrize(
    ("says", "state", "words"),
    [
        ({"MAIL": b"530 5.7.0 sign in first\r\n", "RCPT": NO, "DATA": NO}, State.PENDING, "server: 530"),
        ({"DATA": b"451 4.3.0 later\r\n"}, State.PENDING, "mail refused: 451"),
        ({"BODY": b"552 5.3.4 too large\r\n"}, State.STUCK, "mail refused: 552"),
        ({"BODY": b"250 kept\r\n"}, State.SENT, ""),
    ],
)  # fmt: skip
def test_what_the_server_refuses_is_noted(show, serve, offers, says, state, words):
    serve(EHLO=offers, **says)
    place(show)
    outbox.deliver_due(now=NOW)
    message = OutboxMessage.objects.get()
    assert message.state == state
    assert message.last_error.endswith(words)

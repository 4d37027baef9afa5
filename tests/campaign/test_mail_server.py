"""What is said to a mail server word for word, with and without pipelining (RFC 5321, RFC 2920), and its refusals."""

import socket
import threading
from contextlib import suppress

import pytest

from campaign import outbox
from campaign.mail_server import Line, ServerAway, send
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
        self.lines, self.bodies, self.connections = [], [], 0
        self.waits_for_next = 0  # so many texts are answered only when the next mail was asked about
        self.most_a_connection = 1_000
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = self._listening.getsockname()[1]
        threading.Thread(target=self._serve, daemon=True).start()

    def _serve(self):
        while True:
            connection, _ = self._listening.accept()
            self.connections += 1
            with suppress(ConnectionError), connection, connection.makefile("rb") as sent:  # left in the middle
                connection.sendall(b"220 here\r\n")
                self._talk(connection, sent)

    def _talk(self, connection, sent):
        taken = 0
        while line := sent.readline():
            self.lines.append(line)
            answer = self.says.get(line[:4].upper(), b"250 ok\r\n")
            if line.startswith(b"MAIL") and taken >= self.most_a_connection:
                answer = b"421 4.7.0 enough for one connection\r\n"
            connection.sendall(answer)
            if answer.startswith(b"421"):
                return
            if line[:4] == b"DATA" and answer.startswith(b"354"):
                self.bodies.append(b"".join(self._body(sent)))
                taken += 1
                if taken <= self.waits_for_next:
                    assert sent.peek(4)
                connection.sendall(self.says.get(b"BODY", b"250 kept\r\n"))

    def _body(self, sent):
        while (line := sent.readline()) != b".\r\n":
            if not line:  # left in the middle
                return
            yield line

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


def test_the_next_mail_is_asked_about_with_the_text_of_this_one(show, serve):
    server = serve()
    server.waits_for_next = 2
    for _ in range(3):
        place(show)
    assert outbox.deliver_due(now=NOW) == 3
    assert server.connections == 1
    assert len(set(server.bodies)) == 3


@OFFERS
def test_a_server_that_takes_few_mails_a_connection_gets_them_over_several(show, serve, offers):
    server = serve(EHLO=offers)
    server.most_a_connection = 2
    for _ in range(5):
        place(show)
    assert outbox.deliver_due(now=NOW) == 5
    assert (server.connections, len(set(server.bodies)), len(server.bodies)) == (3, 5, 5)


@OFFERS
def test_a_text_that_is_refused_does_not_keep_the_next(show, serve, offers):
    server = serve(EHLO=offers, BODY=b"552 5.3.4 too large\r\n")
    place(show)
    place(show)
    assert outbox.deliver_due(now=NOW) == 0
    assert set(OutboxMessage.objects.values_list("state", flat=True)) == {State.STUCK}
    assert len(set(server.bodies)) == 2


def test_another_mail_than_the_one_asked_about_goes_over_a_new_connection(show, serve):
    server = serve()
    for _ in range(3):
        place(show)
    first, second, third = OutboxMessage.objects.order_by("pk")
    line = Line(outbox.get_connection())
    send(first, line=line, following=second)
    send(third, line=line)
    line.close()
    sent = [body for body in server.bodies if body]  # of the second nothing came
    assert [str(mail.uid).encode() in body for mail, body in zip((first, third), sent, strict=True)] == [True, True]
    assert server.connections == 2


def test_one_that_cannot_be_written_is_met_in_its_own_turn(show, serve):
    server = serve()
    for _ in range(3):
        place(show)
    broken = OutboxMessage.objects.order_by("pk")[1]
    OutboxMessage.objects.filter(pk=broken.pk).update(headers={"X-Odd": "two\nlines"})
    assert outbox.deliver_due(now=NOW) == 2
    assert "cannot be written" in OutboxMessage.objects.exclude(state=State.SENT).get().last_error
    assert len(server.bodies) == 2


def test_a_connection_that_ends_at_the_next_mail_repeats_none(show, serve):
    server = serve()
    place(show)
    place(show)
    server.most_a_connection = 1
    assert outbox.deliver_due(now=NOW) == 2
    assert len(server.bodies) == len(set(server.bodies)) == 2


def test_a_server_that_is_closing_takes_no_mail(show, serve):
    server = serve(MAIL=b"421 4.3.2 closing\r\n")
    place(show)
    line = Line(outbox.get_connection())
    with pytest.raises(ServerAway):
        send(OutboxMessage.objects.get(), line=line)
    assert server.bodies == []

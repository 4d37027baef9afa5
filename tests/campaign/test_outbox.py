"""The outbox against a real SMTP server on this machine: nothing lost, nothing twice unless it must be."""

import socket
import threading
import time
from datetime import timedelta
from email import message_from_bytes
from email.header import decode_header, make_header
from email.utils import parsedate_to_datetime
from types import SimpleNamespace

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from campaign import outbox
from campaign.models import OutboxMessage, Suppression
from campaign.sending import sending_alone
from tests.builders import NOW, make_show, place

State = OutboxMessage.State


class Sink:
    """Keeps what arrives; answers as it is told."""

    def __init__(self):
        self.messages = []
        self.answers = []
        self.connections = 0
        self.most_a_connection = 1_000

    async def handle_EHLO(self, server, session, envelope, hostname, responses):
        self.connections += 1
        session.host_name, session.mails = hostname, 0
        return responses

    async def handle_MAIL(self, server, session, envelope, address, options):
        session.mails += 1
        if session.mails > self.most_a_connection:
            return "421 enough for one connection"
        envelope.mail_from = address
        return "250 ok"

    async def handle_DATA(self, server, session, envelope):
        answer = self.answers.pop(0) if self.answers else "250 kept"
        if answer.startswith("250"):
            self.messages.append((envelope.rcpt_tos, message_from_bytes(envelope.content)))
        return answer


def refuse(server, session, envelope, mechanism, auth_data):
    """Every name and password is wrong."""
    return AuthResult(success=False, handled=False)


@pytest.fixture
def sink(settings):
    handler = Sink()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    controller = Controller(handler, hostname="127.0.0.1", port=port, authenticator=refuse, auth_require_tls=False)
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
    settings.EMAIL_USE_TLS = False
    yield handler
    controller.stop()


def test_a_due_mail_arrives_once_with_both_parts(show, sink):
    pledge = place(show)
    assert outbox.deliver_due(now=NOW) == 1
    assert outbox.deliver_due(now=NOW) == 0
    [(recipients, mail)] = sink.messages
    message = OutboxMessage.objects.get()
    assert recipients == [pledge.email]
    assert str(message.uid) in mail["Message-ID"]
    assert mail["Auto-Submitted"] == "auto-generated"
    assert [part.get_content_type() for part in mail.walk()][1:] == ["text/plain", "text/html"]
    assert message.state == State.SENT
    assert message.sent_at == NOW


def test_a_busy_server_is_asked_again_later(show, sink):
    place(show)
    sink.answers = ["451 try later"]
    assert outbox.deliver_due(now=NOW) == 0
    message = OutboxMessage.objects.get()
    assert (message.state, message.attempts) == (State.PENDING, 1)
    assert message.due_at > NOW
    assert outbox.deliver_due(now=message.due_at) == 1
    assert len(sink.messages) == 1


def test_a_lasting_no_is_kept_where_the_artist_sees_it(show, sink):
    place(show)
    sink.answers = ["550 no such person"]
    outbox.deliver_due(now=NOW)
    message = OutboxMessage.objects.get()
    assert message.state == State.STUCK
    assert "550" in message.last_error


@pytest.fixture
def nobody_listens(settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_USE_TLS = "127.0.0.1", 9, False


def test_a_server_that_is_away_for_four_days_loses_nothing(show, nobody_listens):
    place(show)
    now = NOW
    while now < NOW + timedelta(days=4):
        assert outbox.deliver_due(now=now) == 0
        now = OutboxMessage.objects.get().due_at
    assert OutboxMessage.objects.get().state == State.PENDING


def test_a_mail_that_was_given_up_can_be_sent_again(show, nobody_listens):
    place(show)
    OutboxMessage.objects.update(attempts=outbox.MAX_ATTEMPTS - 1)
    outbox.deliver_due(now=NOW)
    message = OutboxMessage.objects.get()
    assert message.state == State.STUCK
    assert not outbox.settle_unknown(message=message, resend=False, now=NOW)
    assert outbox.settle_unknown(message=message, resend=True, now=NOW)
    assert OutboxMessage.objects.get().state == State.PENDING


def test_mails_behind_one_that_met_no_server_are_not_tried_and_not_counted(show, nobody_listens):
    place(show)
    place(show)
    outbox.deliver_due(now=NOW)
    first, second = OutboxMessage.objects.order_by("pk")
    assert (first.state, first.attempts) == (State.PENDING, 1)
    assert (second.state, second.attempts, second.due_at) == (State.PENDING, 0, first.due_at)


def test_a_refused_sign_in_keeps_the_mail_waiting(show, sink, settings):
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "studio", "wrong"
    place(show)
    outbox.deliver_due(now=NOW)
    message = OutboxMessage.objects.get()
    assert message.state == State.PENDING
    assert message.last_error == "mail server: 535"


def test_a_mail_that_cannot_be_written_does_not_keep_the_next_one(show, sink):
    place(show)
    place(show)
    broken, sound = OutboxMessage.objects.order_by("pk")
    OutboxMessage.objects.filter(pk=broken.pk).update(headers={"X-Bad": "two\nlines"})
    assert outbox.deliver_due(now=NOW) == 1
    sound.refresh_from_db()
    broken.refresh_from_db()
    assert (broken.state, sound.state) == (State.PENDING, State.SENT)
    assert broken.last_error == "cannot be written: ValueError"


def test_a_mail_about_an_order_goes_before_news(show):
    place(show)
    OutboxMessage.objects.update(kind=OutboxMessage.Kind.CAMPAIGN)
    place(show)
    [first] = outbox.claim(now=NOW, limit=1)
    assert first.kind == OutboxMessage.Kind.TRANSACTIONAL


def test_a_mail_whose_lease_another_worker_took_over_is_left_to_it(show, sink):
    place(show)
    place(show)
    real_claim = outbox.claim(now=NOW)
    later = NOW + outbox.LEASE + timedelta(seconds=1)
    assert len(outbox.claim(now=later)) == 2
    for message in real_claim:
        assert outbox._deliver(message, line=None, following=None, now=later, at=later) == 0
    assert sink.messages == []


def test_a_claimed_mail_is_nobody_elses_until_the_lease_ends(show):
    place(show)
    assert len(outbox.claim(now=NOW)) == 1
    assert outbox.claim(now=NOW) == []
    assert outbox.claim(now=NOW + outbox.LEASE) == []
    assert len(outbox.claim(now=NOW + outbox.LEASE + timedelta(seconds=1))) == 1


def test_mail_about_an_order_is_sent_again_after_a_crash_with_the_same_id(show, sink):
    place(show)
    [message] = outbox.claim(now=NOW)
    OutboxMessage.objects.update(is_data_handed_over=True)  # the worker died between the server's yes and its own note
    later = NOW + outbox.LEASE + timedelta(seconds=1)
    assert outbox.deliver_due(now=later) == 1
    assert str(message.uid) in sink.messages[0][1]["Message-ID"]


def test_news_that_may_have_gone_out_waits_for_the_artist(show, sink):
    place(show)
    OutboxMessage.objects.update(kind=OutboxMessage.Kind.CAMPAIGN)
    outbox.claim(now=NOW)
    OutboxMessage.objects.update(is_data_handed_over=True)
    later = NOW + outbox.LEASE + timedelta(seconds=1)
    assert outbox.deliver_due(now=later) == 0
    message = OutboxMessage.objects.get()
    assert message.state == State.UNKNOWN
    assert outbox.settle_unknown(message=message, resend=True, now=later)
    assert not outbox.settle_unknown(message=message, resend=False, now=later)
    assert outbox.deliver_due(now=later) == 1


def test_news_that_did_not_reach_the_server_goes_out_after_a_crash(show, sink):
    place(show)
    OutboxMessage.objects.update(kind=OutboxMessage.Kind.CAMPAIGN)
    outbox.claim(now=NOW)
    assert outbox.deliver_due(now=NOW + outbox.LEASE + timedelta(seconds=1)) == 1


def test_news_to_a_suppressed_address_is_dropped_and_order_mail_is_not(show, sink):
    pledge = place(show)
    Suppression.objects.create(show=show, email=pledge.email.upper(), created_at=NOW)
    assert outbox.deliver_due(now=NOW) == 1
    OutboxMessage.objects.update(state=State.PENDING, sent_at=None, kind=OutboxMessage.Kind.CAMPAIGN)
    assert outbox.deliver_due(now=NOW) == 0
    assert OutboxMessage.objects.get().state == State.DROPPED


def test_a_mail_that_is_not_due_waits(show):
    place(show)
    OutboxMessage.objects.update(due_at=NOW + timedelta(minutes=1))
    assert outbox.claim(now=NOW) == []


def test_a_rolled_back_act_sends_nothing(show):
    class Halt(Exception):
        pass

    from campaign import mail

    pledge = place(show)
    OutboxMessage.objects.all().delete()
    with pytest.raises(Halt), transaction.atomic():
        mail.hold_reminder(pledge=pledge, now=NOW)
        raise Halt
    assert OutboxMessage.objects.count() == 0


def test_a_subject_with_line_breaks_stays_one_line(show):
    from campaign import mail

    show.title = "Tide\r\nBcc: all@example.org"
    show.save()
    pledge = place(show)
    with transaction.atomic():
        message = mail.pledge_lapsed(pledge=pledge, now=NOW)
    assert "\n" not in message.subject
    assert "\r" not in message.subject


def test_a_batch_goes_over_one_connection(show, sink):
    for _ in range(3):
        place(show)
    assert outbox.deliver_due(now=NOW) == 3
    assert sink.connections == 1


def test_one_call_sends_all_that_is_due_batch_after_batch(show, sink):
    for _ in range(5):
        place(show)
    assert outbox.deliver_due(now=NOW, limit=2) == 5
    assert sink.connections == 3
    assert set(OutboxMessage.objects.values_list("state", "attempts")) == {(State.SENT, 1)}


def test_a_server_that_takes_so_many_a_connection_gets_the_rest_over_the_next(show, sink):
    sink.most_a_connection = 2
    for _ in range(5):
        place(show)
    assert outbox.deliver_due(now=NOW) == 5
    assert len(sink.messages) == 5
    assert sink.connections == 3
    assert set(OutboxMessage.objects.values_list("state", "attempts")) == {(State.SENT, 1)}


def test_news_is_noted_as_handed_over_before_the_server_has_it(show, sink, monkeypatch):
    place(show)
    OutboxMessage.objects.update(kind=OutboxMessage.Kind.CAMPAIGN)
    seen = []
    monkeypatch.setattr(outbox, "_send", lambda message, **way: seen.append(OutboxMessage.objects.get()))
    outbox.deliver_due(now=NOW)
    [before] = seen
    assert (before.state, before.is_data_handed_over) == (State.SENDING, True)


def news(show, count):
    for _ in range(count):
        place(show)
    OutboxMessage.objects.update(kind=OutboxMessage.Kind.CAMPAIGN)


def test_that_news_is_sent_and_that_the_next_is_handed_over_is_one_commit(show, sink, monkeypatch):
    news(show, 3)
    seen, real_send = [], outbox._send

    def send(message, **way):
        seen.append(list(OutboxMessage.objects.order_by("pk").values_list("state", "is_data_handed_over")))
        real_send(message, **way)

    monkeypatch.setattr(outbox, "_send", send)
    with CaptureQueriesContext(connection) as asked:
        assert outbox.deliver_due(now=NOW) == 3
    sending, sent = State.SENDING, State.SENT
    assert seen == [
        [(sending, True), (sending, False), (sending, False)],
        [(sent, True), (sending, True), (sending, False)],
        [(sent, True), (sent, True), (sending, True)],
    ]
    changes = [query["sql"] for query in asked if query["sql"].startswith("UPDATE")]
    assert len(changes) == 4  # before the first, and after each
    assert set(OutboxMessage.objects.values_list("state", "sent_at", "lease_until_at")) == {(sent, NOW, None)}
    assert len(sink.messages) == 3


def test_a_confirmation_does_not_wait_until_all_news_is_out(show, sink, monkeypatch):
    news(show, 4)
    monkeypatch.setattr(outbox, "LOOK_AGAIN_S", 0.0)
    real_send, ordered = outbox._send, []

    def send(message, **way):
        if not ordered:
            ordered.append(place(show, email="new@example.org"))
        real_send(message, **way)

    monkeypatch.setattr(outbox, "_send", send)
    assert outbox.deliver_due(now=NOW + timedelta(seconds=1)) == 5
    assert [recipients == ["new@example.org"] for recipients, _ in sink.messages].index(True) == 2
    assert len({mail["Message-ID"] for _, mail in sink.messages}) == 5
    assert sink.connections == 1


def test_news_behind_a_mail_that_took_longer_than_a_lease_is_not_in_doubt(show, sink, monkeypatch):
    news(show, 3)
    real_send, late = outbox._send, []

    def send(message, **way):
        if not late:
            place(show, email="new@example.org")
        late.append(outbox.LEASE.total_seconds() + 1)
        real_send(message, **way)

    monkeypatch.setattr(outbox, "_send", send)
    monkeypatch.setattr(outbox, "time", SimpleNamespace(monotonic=lambda: time.monotonic() + sum(late)))
    monkeypatch.setattr(outbox, "AT_MOST_S", 10_000.0)
    assert outbox.deliver_due(now=NOW + timedelta(seconds=1)) == 4
    assert set(OutboxMessage.objects.values_list("state", flat=True)) == {State.SENT}


@pytest.mark.skipif(connection.vendor == "postgresql", reason="there a lock of the database; tests/postgres")
def test_two_threads_do_not_send_at_once():
    others = []

    def ask():
        with sending_alone() as is_alone:
            others.append(is_alone)
        connection.close()

    def ask_elsewhere():
        thread = threading.Thread(target=ask)
        thread.start()
        thread.join()

    with sending_alone() as is_alone:
        assert is_alone
        ask_elsewhere()
    ask_elsewhere()
    assert others == [False, True]


def test_what_is_left_when_the_time_is_over_is_given_back_as_it_was(show, sink, monkeypatch):
    news(show, 3)
    monkeypatch.setattr(outbox, "AT_MOST_S", 0.3)
    real_send = outbox._send

    def send_slowly(message, **way):
        real_send(message, **way)
        time.sleep(0.4)

    monkeypatch.setattr(outbox, "_send", send_slowly)
    assert outbox.deliver_due(now=NOW) == 1
    left = OutboxMessage.objects.exclude(state=State.SENT)
    assert set(left.values_list("state", "is_data_handed_over", "attempts", "lease_until_at")) == {
        (State.PENDING, False, 0, None)
    }
    assert [outbox.deliver_due(now=NOW + timedelta(seconds=later)) for later in (2, 4)] == [1, 1]
    assert len({mail["Message-ID"] for _, mail in sink.messages}) == len(sink.messages) == 3


def lost_while_the_first_is_sent(monkeypatch, pk):
    """Another worker takes the row while the server has the text of the first."""
    real_send, of_another = outbox._send, NOW + timedelta(minutes=9)

    def send(message, **way):
        OutboxMessage.objects.filter(pk=pk, state=State.SENDING).update(lease_until_at=of_another)
        real_send(message, **way)

    monkeypatch.setattr(outbox, "_send", send)


def test_news_goes_on_behind_one_that_another_worker_took_over(show, sink, monkeypatch):
    news(show, 2)
    first, second = OutboxMessage.objects.order_by("pk")
    lost_while_the_first_is_sent(monkeypatch, first.pk)
    assert outbox.deliver_due(now=NOW) == 2
    assert len(sink.messages) == 2
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.state, second.state) == (State.SENDING, State.SENT)  # its note is the other worker's


def test_news_that_another_worker_took_over_is_not_sent_twice(show, sink, monkeypatch):
    news(show, 2)
    first, second = OutboxMessage.objects.order_by("pk")
    lost_while_the_first_is_sent(monkeypatch, second.pk)
    assert outbox.deliver_due(now=NOW) == 1
    assert len(sink.messages) == 1
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.state, second.state, second.is_data_handed_over) == (State.SENT, State.SENDING, False)


def test_a_lease_that_is_nearly_over_is_renewed_before_sending(show, sink, monkeypatch):
    place(show)
    [message] = outbox.claim(now=NOW)
    seen = []
    monkeypatch.setattr(outbox, "_send", lambda message, **way: seen.append(OutboxMessage.objects.get()))
    late = NOW + outbox.LEASE - timedelta(seconds=60)
    assert outbox._deliver(message, line=None, following=None, now=NOW, at=late) == 1
    assert seen[0].lease_until_at == late + outbox.LEASE


def test_a_mail_arrives_word_for_word(show, sink):
    pledge = place(show)
    text = "Grüße, „€“ 日本\n.\nFrom here on a line of many words" + " and more" * 200 + "\n"
    OutboxMessage.objects.update(text=text, html=f"<p>{text}</p>", subject="Ein Brief für Sie: €5.00")
    assert outbox.deliver_due(now=NOW) == 1
    [(_, mail)] = sink.messages
    plain, html = mail.get_payload()
    assert plain.get_payload(decode=True).decode().replace("\r\n", "\n") == text
    assert html.get_payload(decode=True).decode().replace("\r\n", "\n") == f"<p>{text}</p>"
    assert str(make_header(decode_header(mail["Subject"]))) == "Ein Brief für Sie: €5.00"
    assert mail["To"] == pledge.email
    assert parsedate_to_datetime(mail["Date"]).tzinfo is not None


@pytest.mark.django_db(transaction=True)
def test_commits_wait_for_the_disk_again_after_a_batch(sink):
    place(make_show())
    before = _flushing()
    assert outbox.deliver_due(now=NOW) == 1
    assert _flushing() == before


def _flushing():
    with connection.cursor() as cursor:
        cursor.execute("SHOW synchronous_commit" if connection.vendor == "postgresql" else "PRAGMA synchronous")
        return cursor.fetchone()


def test_a_line_that_is_a_dot_and_one_that_begins_with_one_arrive_as_they_are(show, sink):
    place(show)
    OutboxMessage.objects.update(text="first\n.\n.hidden\n..\nlast = “end”\n")
    assert outbox.deliver_due(now=NOW) == 1
    [(_, mail)] = sink.messages
    plain, _ = mail.get_payload()
    assert plain.get_payload(decode=True).decode().replace("\r\n", "\n") == "first\n.\n.hidden\n..\nlast = “end”\n"

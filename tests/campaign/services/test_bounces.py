"""What follows from mail that came back: one row a report, no news where none arrives, nobody silenced by a forgery."""

import io
import os
import socket
from io import StringIO

import pytest
from aiosmtpd.controller import Controller
from django.core.management import CommandError, call_command

from campaign import outbox
from campaign.models import Bounce, OutboxMessage
from campaign.queries.audience import read_audience
from campaign.services import bounces, updates
from campaign.services.bounces import Taken
from campaign.services.people import erase_person, read_person
from campaign.services.pledges import cancel_pledge
from campaign.tasks import sweep
from tests.builders import NOW, place
from tests.returned_mails import make_report, message_id_of


@pytest.fixture
def mary(show):
    return place(show, email="mary@example.org")


@pytest.fixture
def message(mary):
    OutboxMessage.objects.update(state="sent", sent_at=NOW)
    return OutboxMessage.objects.get()


def take(raw, taken=None):
    taken = taken or Taken()
    bounces.take_mail(raw=raw, name="a mail", taken=taken, now=NOW)
    return taken


def counts(taken):
    return taken.hard, taken.soft, taken.known, taken.skipped


def readers(show):
    return [reader.email for reader in read_audience(show, segment="all").readers]


def test_a_lasting_failure_is_one_row_however_often_it_is_read_and_ends_the_news(show, message):
    raw = make_report(message_id=message_id_of(message))
    assert readers(show) == ["mary@example.org"]
    assert counts(take(raw)) == (1, 0, 0, 0)
    assert counts(take(raw.replace(b"\n", b"\r\n"))) == (0, 0, 1, 0)
    bounce = Bounce.objects.get()
    assert (bounce.email, bounce.kind, bounce.status, bounce.message) == ("mary@example.org", "hard", "5.1.1", message)
    assert readers(show) == []


@pytest.mark.parametrize(
    "changes",
    [
        {"action": "delayed", "status": "4.4.1", "said": "smtp; 451 4.4.1 no answer"},
        {"status": "4.4.7", "said": "smtp; 4.4.7 expired"},
        {"status": "5.2.2", "said": "smtp; 552 5.2.2 mailbox full"},
        {"status": "5.7.1", "said": "smtp; 550 5.7.1 blocked"},
    ],
)
def test_a_passing_failure_is_kept_and_ends_nothing(show, message, changes):
    assert counts(take(make_report(message_id=message_id_of(message), **changes))) == (0, 1, 0, 0)
    assert readers(show) == ["mary@example.org"]


def test_it_is_about_the_address_we_wrote_to_wherever_that_was_forwarded(show, message):
    take(make_report(message_id=message_id_of(message), original="x@example.net", recipient="y@example.net"))
    assert Bounce.objects.get().email == "mary@example.org"


def test_without_the_mail_it_speaks_of_a_report_silences_nobody_and_fills_one_row(show, message):
    for number in range(5):
        raw = make_report(recipient="Mary@Example.org", tried=str(number), said=f"smtp; 550 5.1.1 forged {number}")
        take(raw)
    bounce = Bounce.objects.get()
    assert (bounce.email, bounce.kind, bounce.message) == ("mary@example.org", "soft", None)
    assert readers(show) == ["mary@example.org"]


@pytest.mark.parametrize(
    "changes", [{"recipient": "stranger@example.org"}, {"recipient": "no address"}, {"recipient": "a\x00@example.org"}]
)
def test_what_is_about_nobody_here_is_skipped(message, changes):
    taken = take(make_report(message_id="<0b6f7f1e-7a53-4b0c-9a55-0d8f1f2f3a4b@elsewhere>", **changes))
    assert counts(taken) == (0, 0, 0, 1)
    assert taken.reasons == ["a mail: it is about no address that was ever written to from here"]


def test_a_report_about_somebody_erased_brings_no_address_back(message, mary):
    cancel_pledge(pledge=mary, by_backer=True, now=NOW)
    erase_person(email="mary@example.org", reason="asked", now=NOW)
    assert counts(take(make_report(message_id=message_id_of(message)))) == (0, 0, 0, 1)


def test_the_artist_may_know_better(show, message):
    take(make_report(message_id=message_id_of(message)))
    assert bounces.write_again(email="MARY@example.org", now=NOW) == 1
    assert bounces.write_again(email="mary@example.org", now=NOW) == 0
    assert readers(show) == ["mary@example.org"]
    assert counts(take(make_report(message_id=message_id_of(message)))) == (0, 0, 1, 0)
    assert readers(show) == ["mary@example.org"]


def make_maildir(folder, **mails):
    for name in ("new", "cur", "tmp"):
        (folder / name).mkdir(parents=True)
    for name, raw in mails.items():
        (folder / "new" / name).write_bytes(raw)
    return folder


def run(*names):
    out = StringIO()
    call_command("bounces", *names, stdout=out)
    return out.getvalue()


def test_the_command_reads_mails_files_of_many_and_folders_and_says_what_it_skipped(tmp_path, message):
    report = make_report(message_id=message_id_of(message))
    (tmp_path / "one.eml").write_bytes(report)
    (tmp_path / "many").write_bytes(b"From a\n" + report + b"\nFrom b\nSubject: hello\n\nHello.\n\nFrom c\n" + report)
    folder = make_maildir(tmp_path / "box", a=report, b=b"\x00\xff")
    (folder / "new" / "c").symlink_to(tmp_path / "one.eml")
    said = run(*(str(tmp_path / name) for name in ("one.eml", "many", "box", "nowhere", "box/tmp")))
    assert said.splitlines() == [
        "Skipped many, mail 2: no delivery status notification in it.",
        "Skipped b: no delivery status notification in it.",
        f"Skipped {tmp_path}/nowhere: cannot be read (No such file or directory).",
        f"Skipped {tmp_path}/box/tmp: neither a mail nor a maildir folder (one with new and cur in it).",
        "1 lasting and 0 passing failures are new, 3 were known, 4 mails were skipped.",
    ]
    assert sorted(file.name for file in (folder / "new").iterdir()) == ["a", "b", "c"]
    assert "0 lasting and 0 passing failures are new, 1 were known" in run(str(tmp_path / "one.eml"))


def test_a_file_whose_name_is_no_text_is_named_all_the_same(tmp_path, db):
    folder = make_maildir(tmp_path)
    (folder / "new" / os.fsdecode(b"a\xff\n")).write_bytes(b"x")
    assert run(str(folder)).splitlines()[0] == "Skipped a?�: no delivery status notification in it."


def test_the_command_reads_standard_input(message, monkeypatch):
    raw = io.BytesIO(make_report(message_id=message_id_of(message)))
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(raw))
    assert "1 lasting" in run("-")


def test_the_command_wants_to_know_what_to_read(db):
    with pytest.raises(CommandError, match="WALLFUL_BOUNCES"):
        run()


def test_the_sweep_reads_what_comes_in_once_and_lays_it_aside(tmp_path, message, settings):
    folder = make_maildir(tmp_path, a=make_report(message_id=message_id_of(message)), b=b"Subject: hello\n\nHello.")
    settings.BOUNCES = str(folder)
    assert "returned mails read 2" in sweep()
    assert Bounce.objects.count() == 1
    assert sorted(file.name for file in (folder / "cur").iterdir()) == ["a:2,S", "b:2,S"]
    assert "returned mails read 0" in sweep()


def test_without_a_folder_the_sweep_reads_nothing_and_one_that_went_away_is_said(tmp_path, db, settings, caplog):
    assert bounces.take_new_mail(now=NOW) == 0
    settings.BOUNCES = str(tmp_path / "gone")
    assert "returned mails read failed" in sweep()
    assert "is no maildir folder any more" in caplog.text


class Door:
    """A mail server that refuses at the door."""

    def __init__(self):
        self.rcpt, self.data = "250 known", "250 kept"

    async def handle_RCPT(self, server, session, envelope, address, options):
        if self.rcpt.startswith("250"):
            envelope.rcpt_tos.append(address)
        return self.rcpt

    async def handle_DATA(self, server, session, envelope):
        return self.data


@pytest.fixture
def door(settings):
    handler = Door()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    controller = Controller(handler, hostname="127.0.0.1", port=port)
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_USE_TLS = "127.0.0.1", port, False
    yield handler
    controller.stop()


@pytest.mark.parametrize(
    ("answers", "state", "kind"),
    [
        ({"rcpt": "550 5.1.1 no such user"}, "stuck", "hard"),
        ({"rcpt": "550 no such user"}, "stuck", "hard"),
        ({"rcpt": "550 5.7.1 not from you"}, "stuck", "soft"),
        ({"rcpt": "450 4.2.0 later"}, "pending", None),
        ({"data": "550 5.1.1 no such user"}, "stuck", "hard"),
        ({"data": "554 5.6.0 looks like spam"}, "stuck", None),
    ],
)
def test_a_refusal_at_the_door_says_what_a_report_would_say_later(show, mary, door, answers, state, kind):
    for name, answer in answers.items():
        setattr(door, name, answer)
    outbox.deliver_due(now=NOW)
    outbox.deliver_due(now=NOW)
    message = OutboxMessage.objects.get()
    assert message.state == state
    assert [(one.email, one.kind, one.message) for one in Bounce.objects.all()] == (
        [("mary@example.org", kind, message)] if kind else []
    )
    assert readers(show) == ([] if kind == "hard" else ["mary@example.org"])


def test_news_that_is_on_its_way_stops_and_mail_about_the_order_is_tried(show, mary, door):
    job = updates.send_update(
        update=updates.write_update(show=show, update=None, title="Ink", body="Came.", now=NOW), now=NOW
    )
    door.rcpt = "550 5.1.1 no such user"
    outbox.deliver_due(now=NOW)  # the confirmation is refused
    door.rcpt = "250 known"
    outbox.deliver_due(now=NOW + updates.GRACE)
    assert job.messages.get().state == "dropped"


def test_it_is_part_of_what_is_known_of_a_person_and_goes_with_them(message, mary):
    take(make_report(message_id=message_id_of(message)))
    (known,) = read_person("mary@example.org")["mails_returned"]
    assert (known["kind"], known["status"]) == ("hard", "5.1.1")
    cancel_pledge(pledge=mary, by_backer=True, now=NOW)
    erase_person(email="mary@example.org", reason="asked", now=NOW)
    assert not Bounce.objects.exists()

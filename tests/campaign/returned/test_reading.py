"""Reports of failed delivery out of any bytes: what they say is read, and nothing they are raises."""

import uuid

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.returned import LARGEST_BYTES, NotAReport, find_status, is_lasting, is_mbox, read_report, split_mbox
from tests.returned_mails import make_report

UID = uuid.UUID("0b6f7f1e-7a53-4b0c-9a55-0d8f1f2f3a4b")


def read_one(**changes):
    (report,) = read_report(make_report(**changes))
    return report


def test_a_report_says_which_address_which_mail_and_why():
    report = read_one(message_id=f"<{UID}@wallful.example>")
    assert (report.addresses, report.action, report.status, report.uid) == (
        ("mary@example.org",),
        "failed",
        "5.1.1",
        UID,
    )
    assert report.words == "550 5.1.1 <mary@example.org>: no such user"


@pytest.mark.parametrize("returned", ["message/rfc822", "text/rfc822-headers"])
@pytest.mark.parametrize("ends", [b"\n", b"\r\n"])
def test_the_returned_mail_may_be_whole_or_its_headers_with_either_line_end(returned, ends):
    raw = make_report(message_id=f"<{UID}@wallful.example>", returned=returned).replace(b"\n", ends)
    (report,) = read_report(raw)
    assert report.uid == UID


@pytest.mark.parametrize("message_id", ["", "<x@y>", f"{UID}", f"<{UID}>", f"<{UID}@a b>", f"<{UID}@{'a' * 300}>"])
def test_a_message_id_that_is_none_of_ours_names_no_mail(message_id):
    assert read_one(message_id=message_id).uid is None


def test_where_a_mail_was_forwarded_both_addresses_are_told():
    report = read_one(original="mary@example.org", recipient="m.smith@example.net")
    assert report.addresses == ("mary@example.org", "m.smith@example.net")


@pytest.mark.parametrize(
    "recipient", ["", "nobody", "a@b@c", "a b@example.org", "x" * 250 + "@example.org", "a\x00b@example.org"]
)
def test_what_cannot_be_an_address_is_none(recipient):
    assert read_one(recipient=recipient).addresses == ()


@pytest.mark.parametrize(
    ("status", "said", "found"),
    [
        ("5.1.1", "smtp; 550 no", "5.1.1"),
        ("5.0.0", "smtp; 550 5.2.1 disabled", "5.2.1"),
        ("4.0.0", "smtp; 426 connection timed out", "4.0.0"),
        ("", "smtp; 551 moved", "5.0.0"),
        ("?", "x-mine; nothing", ""),
        ("5.1.1 (bad destination)", "", "5.1.1"),
    ],
)
def test_the_more_telling_of_the_two_codes_counts(status, said, found):
    assert read_one(status=status, said=said).status == found


def test_the_same_report_again_has_the_same_name_and_another_has_another():
    one = make_report(message_id=f"<{UID}@wallful.example>")
    assert read_report(one) == read_report(one.replace(b"\n", b"\r\n"))
    names = {
        read_one(**changes).digest for changes in ({}, {"tried": "later"}, {"status": "4.2.2"}, {"recipient": "a@b"})
    }
    assert len(names) == 4


@pytest.mark.parametrize("action", ["delivered", "relayed", "expanded", "", "FAILED?"])
def test_good_news_and_no_news_is_no_failure(action):
    with pytest.raises(NotAReport, match="no failed delivery"):
        read_report(make_report(action=action))


def test_only_a_failure_for_good_or_a_delay_is_told():
    assert read_one(action="Failed").action == "failed"
    assert read_one(action="delayed", status="4.4.7").action == "delayed"


@pytest.mark.parametrize(
    "raw",
    [
        b"", b"\x00" * 5000, b"Subject: hello\n\nA letter.", b"\xff\xfe\x00rubbish", b"Content-Type: multipart/report",
        b"Content-Type: message/delivery-status\n\n", b"Content-Type: multipart/report; boundary=b\n\n--b\n--b--",
        make_report().replace(b"multipart/report", b"text/plain"),
        b"Content-Type: multipart/mixed; boundary=b\nContent-Transfer-Encoding: \xff\xff\n\n--b\n",
    ],
)  # fmt: skip
def test_rubbish_is_no_report_and_says_so(raw):
    with pytest.raises(NotAReport):
        read_report(raw)


def test_a_nest_of_a_thousand_parts_is_left_aside():
    head = b"".join(b"Content-Type: multipart/mixed; boundary=b%d\n\n--b%d\n" % (n, n) for n in range(3000))
    with pytest.raises(NotAReport):
        read_report(head)


def test_too_large_a_mail_is_not_looked_at():
    with pytest.raises(NotAReport, match="larger than 1000 kB"):
        read_report(make_report() + b"x" * LARGEST_BYTES)


def test_a_thousand_recipients_are_cut_off():
    block = b"\nFinal-Recipient: rfc822; a@example.org\nAction: failed\nStatus: 5.1.1\n"
    raw = make_report().replace(b"\n--b--", block * 1000 + b"\n--b--")
    assert len(read_report(raw)) == 20


@given(st.binary(max_size=3000))
def test_no_bytes_raise_anything_else(raw):
    for whole in (raw, make_report() + raw, make_report().replace(b"5.1.1", raw), make_report().replace(b"--b", raw)):
        try:
            reports = read_report(whole)
        except NotAReport as reason:
            assert str(reason)
        else:
            assert all(report.status == "" or len(report.status) <= 12 for report in reports)
            assert all(report.words.isprintable() for report in reports)


@pytest.mark.parametrize(
    ("text", "status"),
    [
        ("550-5.7.26 not signed", "5.7.26"), ("from 10.5.1.1 refused", ""), ("550 from 4.5.1.10", "5.0.0"),
        ("", ""), ("250 2.1.5 fine", "2.1.5"), ("5.1.1111", ""), ("15.1.1", ""), ("421", "4.0.0"), ("1550", ""),
    ],
)  # fmt: skip
def test_a_status_is_never_read_out_of_another_number(text, status):
    assert find_status(text) == status


@pytest.mark.parametrize("status", ["5.1.1", "5.1.2", "5.1.10", "5.2.1", "5.4.4", "5.0.0"])
def test_no_such_address_is_lasting(status):
    assert is_lasting(status)


@pytest.mark.parametrize(
    "status", ["5.1.7", "5.1.8", "5.2.2", "5.3.4", "5.6.0", "5.7.1", "5.7.26", "4.1.1", "4.4.7", "2.0.0", "", "x"]
)
def test_what_is_said_of_the_mail_its_sender_or_today_is_passing(status):
    assert not is_lasting(status)


def test_a_file_of_many_is_cut_at_its_from_lines_alone():
    text = b"From a\nOne\n\nFrom the letter? No:\nFrom here it goes on\n\nFrom b\r\nTwo\r\n\r\nFrom c\nThree"
    assert list(split_mbox(text.splitlines(keepends=True), most_bytes=1000)) == [
        b"One\n\n", b"From here it goes on\n\n", b"Two\r\n\r\n", b"Three",
    ]  # fmt: skip
    assert is_mbox(text) and not is_mbox(b"From: a@example.org\n")


def test_a_mail_without_end_is_cut_off_and_shows_that_it_was():
    lines = [b"From a\n", *[b"x" * 1000 + b"\n"] * 5000]
    (mail,) = split_mbox(lines, most_bytes=10_000)
    assert len(mail) == 10_001

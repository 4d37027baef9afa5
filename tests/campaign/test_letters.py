"""A mail as bytes: whatever is put in comes out at the reader's end, in lines any server takes."""

from email import message_from_bytes, policy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.letters import ascii_address, compose, header

WORDS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=300)
LINES = st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r\n\x00"), max_size=1_200)).map(
    "\n".join
)


def read(data: bytes):
    return message_from_bytes(data, policy=policy.default)


@given(text=LINES, html=LINES)
def test_both_parts_come_out_as_they_went_in(text, html):
    data = compose(headers={"Subject": "x"}, text=text, html=html, boundary="b0")
    plain, rich = read(data).iter_parts()
    for part, kind, said in ((plain, "text/plain", text), (rich, "text/html", html)):
        assert part.get_content_type() == kind
        assert part.get_payload(decode=True).decode().replace("\r\n", "\n") == said


@given(text=LINES, html=LINES, subject=WORDS)
def test_every_line_is_short_ascii_and_ends_as_mail_lines_do(text, html, subject):
    data = compose(headers={"Subject": subject}, text=text, html=html, boundary="b0")
    assert data.isascii()
    lines = data.split(b"\r\n")
    assert not any(b"\r" in line or b"\n" in line for line in lines)
    assert max(map(len, lines)) <= 998  # RFC 5322, 2.1.1
    assert data.count(b"--=_b0") == 3


@given(WORDS)
def test_subject_comes_out_as_it_went_in(subject):
    wanted = " ".join(subject.split())
    mail = read(compose(headers={"Subject": wanted}, text="", html="", boundary="b0"))
    assert " ".join(str(mail["Subject"]).split()) == wanted


@pytest.mark.parametrize("value", ["a\nBcc: all@example.org", "a\r\nb", "a\rb", "ü\nb"])
def test_header_of_two_lines_is_refused(value):
    with pytest.raises(ValueError, match="linefeed or carriage return"):
        header("Subject", value)


def test_sender_with_a_name_in_other_letters_keeps_its_address():
    mail = read(compose(headers={"From": "Stüdio Näme <studio@x.example>"}, text="", html="", boundary="b0"))
    [sender] = mail["From"].addresses
    assert (sender.display_name, sender.addr_spec) == ("Stüdio Näme", "studio@x.example")


@pytest.mark.parametrize(
    ("address", "sent"),
    [("bea@example.org", "bea@example.org"), ("bea@müller.example", "bea@xn--mller-kva.example")],
)
def test_domain_in_other_letters_is_sent_in_its_ascii_form(address, sent):
    assert ascii_address(address) == sent


def test_long_address_stays_one_word():
    link = f"<https://studio.example/u/{'x' * 300}/>"
    assert header("List-Unsubscribe", link) == f"List-Unsubscribe: {link}\r\n".encode()

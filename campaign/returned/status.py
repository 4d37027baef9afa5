"""What an enhanced status code (RFC 3463) says about an address; no rule of what follows from it."""

import re

# 4xx and 5xx only, each field as long as the standard allows; never part of a longer number such as an IP address.
_STATUS = re.compile(r"(?<![\d.])([245])\.(\d{1,3})\.(\d{1,3})(?![\d.])")
_REPLY = re.compile(r"(?<!\d)([45])\d\d(?!\d)")
# Of the permanent failures, those that speak of a mail or of its sender (too large, refused as unwanted, not let
# through) say nothing against the address; nor does a mailbox that is full today.
_NOT_THE_ADDRESS = {(1, 7), (1, 8), (2, 2), (2, 3)}
_NOT_THE_ADDRESS_AT_ALL = {3, 5, 6, 7}


def find_status(text: str) -> str:
    """
    The first enhanced status code in `text`; for a bare reply code its class, and nothing where there is neither.

    >>> find_status("smtp; 550 5.1.1 <a@example.org>: no such user"), find_status("smtp; 451 busy"), find_status("?")
    ('5.1.1', '4.0.0', '')
    """
    if match := _STATUS.search(text):
        return match.group(0)
    match = _REPLY.search(text)
    return f"{match.group(1)}.0.0" if match else ""


def is_lasting(status: str) -> bool:
    """
    True for a code that says that mail to the address cannot be delivered, now or later (RFC 3463, 2 and 3).

    >>> [is_lasting(code) for code in ("5.1.1", "5.0.0", "5.2.2", "5.7.1", "4.4.7", "")]
    [True, True, False, False, False, False]
    """
    match = _STATUS.fullmatch(status)
    if match is None or match.group(1) != "5":
        return False
    subject, detail = int(match.group(2)), int(match.group(3))
    return subject not in _NOT_THE_ADDRESS_AT_ALL and (subject, detail) not in _NOT_THE_ADDRESS


def explain(status: str) -> str:
    """
    What a code means, as the end of a sentence that begins "Mail to this address comes back: ".

    >>> explain("5.1.1"), explain("4.2.2"), explain("")
    ('it does not exist', 'the mailbox is full', 'no reason is given')
    """
    match = _STATUS.fullmatch(status)
    if match is None:
        return "no reason is given"
    kind, subject, detail = match.group(1), int(match.group(2)), int(match.group(3))
    if words := _EXACTLY.get((subject, detail)):
        return words
    if subject in (0, 1) and kind == "5":
        return "it does not exist"
    return _ABOUT.get(subject, "its mail server did not take it")


_EXACTLY = {
    (1, 7): "the studio’s own address is refused",
    (1, 8): "the studio’s own address is refused",
    (2, 1): "the mailbox is closed",
    (2, 2): "the mailbox is full",
    (2, 3): "the mail was too large",
    (3, 4): "the mail was too large",
    (4, 7): "its mail server did not answer in time",
}
_ABOUT = {
    4: "its mail server cannot be reached",
    6: "the mail was refused for what is in it",
    7: "its mail server refuses mail from here",
}

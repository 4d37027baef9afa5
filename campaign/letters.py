"""
A mail as the bytes that go to the mail server: one text, the same in HTML, headers (RFC 5322, RFC 2046, RFC 2045).

Written out because a tree of MIME objects takes as long to build and to serialise as a server takes to accept it. What
needs care is the standard library's: folding and encoding of headers, quoted-printable. It does not send.
"""

import binascii
from collections.abc import Mapping
from email import policy
from functools import lru_cache

_WIDEST = 998  # octets of a line (RFC 5322, 2.1.1); 78 are advised, but an address on the web must not be broken


def compose(*, headers: Mapping[str, str], text: str, html: str, boundary: str) -> bytes:
    """
    The whole mail with CRLF line ends; 7-bit, so that any server takes it.

    Parameters: headers, in their order, without those of MIME; boundary, of letters and figures, nowhere else in the
        mail: the body's lines are quoted-printable, where "=_" never stands.
    Raises: ValueError for a header of more than one line.
    """
    mark = f"=_{boundary}"
    parts = [
        *(header(name, value) for name, value in headers.items()),
        b"MIME-Version: 1.0\r\n",
        f'Content-Type: multipart/alternative;\r\n boundary="{mark}"\r\n'.encode(),
        *_part("plain", text, mark=mark),
        *_part("html", html, mark=mark),
        f"\r\n--{mark}--\r\n".encode(),
    ]
    return b"".join(parts)


def header(name: str, value: str) -> bytes:
    """
    One header with its line end, encoded (RFC 2047) and folded where it must be.

    Raises: ValueError where it is more than one line.

    >>> header("Subject", "Tideline: €49.90")
    b'Subject: Tideline: =?utf-8?b?4oKs?=49.90\\r\\n'
    """
    # ASCII goes out as it is: folded, a long address would be encoded, and nobody could follow it any more.
    if value.isascii() and value.isprintable() and len(name) + len(value) + 2 <= _WIDEST:
        return f"{name}: {value}\r\n".encode("ascii")
    return _folded(name, value)


@lru_cache(maxsize=128)  # a batch says the same to all: its subject and its sender are worked out once
def _folded(name: str, value: str) -> bytes:
    _, parsed = policy.SMTP.header_store_parse(name, value)
    return policy.SMTP.fold_binary(name, parsed)


def ascii_address(address: str) -> str:
    """
    An e-mail address as any mail server takes it: a domain of other letters in its ASCII form (RFC 5891).

    >>> ascii_address("bea@müller.example")
    'bea@xn--mller-kva.example'
    """
    if address.isascii():
        return address
    local, _, domain = address.rpartition("@")
    return f"{local}@{domain.encode('idna').decode('ascii')}"


def _part(kind: str, content: str, *, mark: str) -> tuple[bytes, bytes]:
    head = (
        f'\r\n--{mark}\r\nContent-Type: text/{kind}; charset="utf-8"\r\n'
        "Content-Transfer-Encoding: quoted-printable\r\n\r\n"
    )
    lines = content.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return head.encode(), b"\r\n".join([_quoted(line) for line in lines])


@lru_cache(maxsize=1024)  # of a mail nearly all lines are those of the mail before; each is encoded by itself anyway
def _quoted(line: str) -> bytes:
    return binascii.b2a_qp(line.encode("utf-8", "replace"), istext=True).replace(b"\n", b"\r\n")

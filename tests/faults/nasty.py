"""Texts, files and whole requests that no well-meaning visitor sends."""

import io
import itertools
import re
import zipfile

from hypothesis import strategies as st
from PIL import Image

MARK = "<script>zq7()</script>"
# What a page or a mail holds if one of the texts below may have been taken for more than text.
SUSPECT = (b"<script>zq7", b"<img src=x", b"javascript:", b"vbscript:", b"data:text/html")
HANDLER = re.compile(rb"[\s/]on\w+\s*=")
LEADING = ("href", "src", "action", "formaction")
RUN = ("javascript:", "vbscript:", "data:text/html")  # where a link must never lead
EVALUATED = b"62615533"  # 7919 × 7907
TEXTS = (
    "", " ", "\0", "a\0b", MARK, f"\"'>{MARK}", "' onfocus='zq7()", '" onmouseover="zq7()', f"</textarea>{MARK}",
    f"]]>{MARK}<![CDATA[", "<img src=x onerror=zq7()>", f"<!--{MARK}-->", "javascript:zq7()", "[x](javascript:zq7())",
    "![x](data:text/html,zq7)", "<a href='vbscript:zq7'>x</a>", "{{7919*7907}}{% debug %}", "${7919*7907}",
    "#{7919*7907}", '=HYPERLINK("http://x")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "＝1+1", "'; DROP TABLE x;--",
    "' OR 1=1 --", "%' ESCAPE '", "../../etc/passwd", "..\\..\\boot.ini", "/dev/null", "file:///etc/passwd",
    "//evil.example/", "https://evil.example/", "a@b.example\r\nBcc: c@d.example", "x\r\nzq7: a", "%0d%0azq7: a",
    "\u202egnp.exe", "\u200f\u05d0\u05d1\u05d2", "مرحبا بالعالم", "👩‍👩‍👧‍👦🏳️‍🌈", "Z͑ͫ̓ͪ̂ͫ̽͏̴̙̤̞a̴̵̞l̠", "ﷺ" * 50, "\ud7ff\ufffd\ufffe",
    "ß" * 300, "İı", "\x1b[31m", "\x7f\x85\u2028", "٣٫٥", "１２３", "²",
    "½", "1e308", "1e-999", "-1", "-0", "NaN",
    "Infinity", "1/0", "0x41", "1_000", "1,2,3.4", "9" * 40, "9" * 5_000, "2147483648", "-9223372036854775809",
    "31.02.2026", "2026-02-30", "0000-00-00", "9999-12-31", "99999-01-01", "2026-03-29T02:30", "24:61", "12'", "5 ft 3",
    "1 m 20 s", "%s%n%x", "null", "true", "[]", '{"a":1}', "on", "\n\n\n", "00000000-0000-0000-0000-000000000000",
    "x" * 5_000,
)  # fmt: skip
LONG = "x" * 200_000
LETTERS = st.characters(codec="utf-8")
MADE_UP = st.one_of(
    st.text(LETTERS, max_size=40),
    st.sampled_from(TEXTS),
    st.builds("{}{}{}".format, st.text(LETTERS, max_size=8), st.sampled_from(TEXTS), st.text(LETTERS, max_size=8)),
    st.integers().map(str),
    st.floats().map(str),
    st.dates().map(str),
    st.text("0123456789.,:-+/ €%xX×cmini'\"", max_size=16),
)

FILE_NAMES = (
    "a.csv",
    "../../x.xml",
    "\u202egnp.jpg",
    f"{MARK}.png",
    "a\r\nzq7: a.csv",
    "x" * 3_000,
    ".",
    "CON",
    "=1+1.xlsx",
)
CAMT = '<?xml version="1.0"?>%s<Document xmlns="urn:iso:std:iso:20022:tech:xsd:camt.053.001.08">%s</Document>'


def is_suspect(html: bytes) -> bool:
    """Something of it may be more than text. In small letters looked for one by one: four times as fast as together."""
    small = html.lower()
    return any(word in small for word in SUSPECT) or HANDLER.search(small) is not None


def _zip(*members: tuple[str, bytes]) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in members:
            packed.writestr(name, data)
    return target.getvalue()


def _picture(kind: str, size: tuple[int, int] = (40, 30)) -> bytes:
    target = io.BytesIO()
    Image.new("RGB", size, "#7aa0b0").save(target, format=kind)
    return target.getvalue()


def _bodies() -> dict[str, bytes]:
    png, jpeg = _picture("PNG"), _picture("JPEG")
    laughs = '<!DOCTYPE d [<!ENTITY a "ha">' + "".join(
        f'<!ENTITY {one} "{f"&{before};" * 10}">' for before, one in itertools.pairwise("abcdefgh")
    )
    book = _zip(("[Content_Types].xml", b"<Types/>"), ("xl/workbook.xml", b"<workbook/>"))
    return {
        "empty": b"",
        "one NUL": b"\0",
        "letters": b"hello",
        "all bytes": bytes(range(256)) * 40,
        "UTF-16": "Date;Amount\n1;2\n".encode("utf-16"),
        "broken UTF-8": b"Date;Amount;Name\n2026-01-01;1;\xff\xfe\xed\xa0\x80\n",
        "CSV of markup": f"Date;Amount;Name\n2026-01-01;1,00;{MARK}\n2026-01-01;=1+1;\0\n".encode(),
        "CSV of odd sums": b"Date;Amount;Name\n" + b"".join(b"2026-02-30;%d;x\n" % 10**n for n in range(40)),
        "CSV with headings twice": b"a;a;a\n1;2\n\n;;;;;;\n",
        "CSV of one endless cell": b'"' + b"x" * 200_000,
        "CSV of many columns": b";".join(b"c%d" % n for n in range(20_000)) + b"\n1\n",
        "exported book of markup": f"Day;Kind;Sum;Text\n2026-01-01;own;1.00;{MARK}\n".encode(),
        "XML with entities": (CAMT % (f"{laughs}]>", "<BkToCstmrStmt>&h;</BkToCstmrStmt>")).encode(),
        "XML with a file": (CAMT % ('<!DOCTYPE d [<!ENTITY a SYSTEM "file:///etc/passwd">]>', "&a;")).encode(),
        "XML of markup": (CAMT % ("", f"<BkToCstmrStmt><![CDATA[{MARK}]]></BkToCstmrStmt>")).encode(),
        "XML too deep": b"<a>" * 30_000,
        "XML breaks off": (CAMT % ("", "<BkToCstmrStmt>"))[:-12].encode(),
        "no workbook": book,
        "zip of a bomb": _zip(("xl/worksheets/sheet1.xml", b"\0" * 30_000_000), ("xl/workbook.xml", b"<workbook/>")),
        "zip of paths": _zip(("../../evil.csv", b"a"), ("/etc/evil", b"a")),
        "zip breaks off": book[:-9],
        "PNG": png,
        "JPEG breaks off": jpeg[: len(jpeg) // 2],
        "PNG of another size": png[:16] + b"\x7f\xff\xff\xff" * 2 + png[24:],
        "PNG and a script": png + MARK.encode(),
        "SVG": f'<svg xmlns="http://www.w3.org/2000/svg" onload="zq7()">{MARK}</svg>'.encode(),
        "GIF": b"GIF89a" + b"\0" * 60,
        "10 MB": b"x;" * 5_000_000,
    }


BODIES = _bodies()


def files() -> list[tuple[str, str, str, bytes]]:
    """What it is, its name, its type, its bytes: every body under one name or another, and every name."""
    names, kinds = itertools.cycle(FILE_NAMES), itertools.cycle(("text/csv", "image/png", "text/html", "x-\0", ""))
    of_bodies = [(what, next(names), next(kinds), body) for what, body in BODIES.items()]
    return of_bodies + [(f"name {name[:20]!r}", name, next(kinds), BODIES["CSV of markup"]) for name in FILE_NAMES]


def in_parts(values: dict[str, str], *, field: str, file: tuple[str, str, bytes]) -> bytes:
    """A body of `PARTS_TYPE` as a browser of ill will makes it: nothing in a name or type is cleaned."""
    name, kind, data = file
    parts = [f'--zz\r\nContent-Disposition: form-data; name="{key}"\r\n\r\n{text}\r\n' for key, text in values.items()]
    parts.append(
        f'--zz\r\nContent-Disposition: form-data; name="{field}"; filename="{name}"\r\nContent-Type: {kind}\r\n\r\n'
    )
    return "".join(parts).encode() + data + b"\r\n--zz--\r\n"


PARTS_TYPE = "multipart/form-data; boundary=zz"
# Whole bodies, with their type, that are no form at all, or more of one than anybody needs.
REQUESTS = (
    ("10 MB in a field", "application/x-www-form-urlencoded", b"anything=" + b"x" * 10_000_000),
    ("10 MB in parts", "multipart/form-data; boundary=zz",
     b'--zz\r\nContent-Disposition: form-data; name="anything"\r\n\r\n' + b"x" * 10_000_000 + b"\r\n--zz--\r\n"),
    ("20,000 fields", "application/x-www-form-urlencoded", b"&".join(b"f%d=" % n for n in range(20_000))),
    ("one name 20,000 times", "application/x-www-form-urlencoded", b"&".join([b"name=1"] * 20_000)),
    ("200 files", "multipart/form-data; boundary=zz",
     b'--zz\r\nContent-Disposition: form-data; name="file"; filename="a"\r\n\r\nx\r\n' * 200 + b"--zz--\r\n"),
    ("no boundary", "multipart/form-data", b"--zz\r\n"),
    ("an odd boundary", "multipart/form-data; boundary=\xe9", b"--zz\r\n"),
    ("parts without an end", "multipart/form-data; boundary=zz",
     b'--zz\r\nContent-Disposition: form-data; name="a"\r\n'),
    ("a part without a name", "multipart/form-data; boundary=zz", b"--zz\r\nContent-Disposition: x\r\n\r\nx\r\n--zz--"),
    ("a part in base 64 that is none", "multipart/form-data; boundary=zz",
     b'--zz\r\nContent-Disposition: form-data; name="a"\r\nContent-Transfer-Encoding: base64\r\n\r\n!\r\n--zz--'),
    ("broken percent signs", "application/x-www-form-urlencoded", b"%=%&%zz=%00&name=%ff%fe&%ed%a0%80=1"),
    ("an unknown charset", "application/x-www-form-urlencoded; charset=zq7", b"name=1"),
    ("a charset of seven bits", "application/x-www-form-urlencoded; charset=utf-7", b"name=+ADw-script+AD4-"),
    ("JSON", "application/json", b'{"name": {"$gt": ""}}'),
    ("XML", "text/xml", b"<a/>"),
    ("no type", "", b"\0\xff"),
)  # fmt: skip
NULS = r"\000" * 20  # what a cookie in quotes says NUL with
HEADERS = (
    {"HTTP_COOKIE": "; ".join(f'{one}="{NULS}"' for one in ("sessionid", "csrftoken", "pledge", "messages"))},
    {"HTTP_COOKIE": "sessionid=" + "x" * 8_000},
    {"HTTP_COOKIE": "=;;=a; pledge=a:b:c; messages=[[]]"},
    {"HTTP_ACCEPT_LANGUAGE": "x" * 3_000 + ";q=\0,de;q=NaN"},
    {"HTTP_HOST": "evil.example"},
    {"HTTP_HOST": "testserver:zq7"},
    {"HTTP_HOST": f'"{MARK}'},
    {"HTTP_X_FORWARDED_FOR": "\0, ::ffff:999.1.1.1, " + "9" * 500, "HTTP_X_FORWARDED_HOST": "evil.example"},
    {"REMOTE_ADDR": "fe80::1%eth0"},
    {"REMOTE_ADDR": ""},
    {"HTTP_USER_AGENT": MARK * 200, "HTTP_REFERER": f"https://evil.example/{MARK}"},
    {"HTTP_IF_MODIFIED_SINCE": "Thu, 99 Foo 99999 99:99:99 GMT", "HTTP_IF_NONE_MATCH": '"\0'},
    {"HTTP_RANGE": "bytes=99999999999999-,-1"},
    {"HTTP_X_CSRFTOKEN": "\u2028", "HTTP_ORIGIN": "null"},
)

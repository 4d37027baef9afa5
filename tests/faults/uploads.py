"""Files that somebody sends to do harm or by mistake: pictures, tables, XML, archives, programs, nothing at all."""

import gzip
import io
import struct
import zipfile
import zlib

from PIL import Image

MEGABYTE = 1_000_000


def corpus(canary: str) -> dict[str, bytes]:
    """File by name. `canary` is an address that nothing may ask; files name it where a format can."""
    entity = f'<!DOCTYPE d [<!ENTITY e SYSTEM "{canary}/entity">]>'
    laughs = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
    camt = '<Document xmlns="urn:iso:std:iso:20022:tech:xsd:camt.053.001.08"><BkToCstmrStmt>'
    picture = _picture("PNG")
    return {
        "empty.csv": b"",
        "nul.csv": b"\0" * 5_000,
        "random.bin": bytes(range(256)) * 40,
        "unclosed.csv": b'Date;Name;Amount\n2026-03-10;"never closed;1.00\n' * 30,
        "one-line.csv": b"a;" * 400_000,
        "many-lines.csv": b"2026-03-10;a;1.00\n" * 20_000,
        "formula.csv": b'Date;Name;Amount\n2026-03-10;"=HYPERLINK(""http://x"")";1.00\n',
        "utf16.csv": "Date;Name;Amount\n2026-03-10;Bo;1.00\n".encode("utf-16"),
        "broken-utf8.csv": b"Date;Name;Amount\n2026-03-10;\xff\xfe\xc3\x28;1.00\n",
        "huge-number.csv": b"Date;Name;Amount\n2026-03-10;a;" + b"9" * 4_000 + b"\n",
        "laughs.xml": f'<?xml version="1.0"?><!DOCTYPE d [<!ENTITY l0 "ha">{laughs}]><d>&l9;</d>'.encode(),
        "entity.xml": f"{entity}{camt}&e;</BkToCstmrStmt></Document>".encode(),
        "file-entity.xml": b'<!DOCTYPE d [<!ENTITY e SYSTEM "file:///etc/hostname">]><d>&e;</d>',
        "remote-dtd.xml": f'<!DOCTYPE d SYSTEM "{canary}/dtd"><d/>'.encode(),
        "xinclude.xml": (
            f'<d xmlns:xi="http://www.w3.org/2001/XInclude"><xi:include href="{canary}/xi"/></d>'
        ).encode(),
        "deep.xml": b"<a>" * 100_000,
        "no-statement.xml": f"{camt}</BkToCstmrStmt></Document>".encode(),
        "bomb.zip": _zip({"x": b"\0" * (20 * MEGABYTE)}),
        "climbing.zip": _zip({"../../climbed": b"x"}),
        "book.xlsx": _zip({"xl/workbook.xml": entity.encode(), "[Content_Types].xml": entity.encode()}),
        "bomb.csv.gz": gzip.compress(b"\0" * (20 * MEGABYTE)),
        "program.exe": b"MZ\x90\0" + b"\0" * 2_000,
        "page.png": b"<html><script>zq7()</script></html>",
        "drawing.svg": (
            f'<svg xmlns="http://www.w3.org/2000/svg" onload="zq7()"><image href="{canary}/svg"/></svg>'
        ).encode(),
        "drawing-called.png": f'<svg xmlns="http://www.w3.org/2000/svg"><image href="{canary}/s"/></svg>'.encode(),
        "paper.pdf": b"%PDF-1.7\n1 0 obj<</OpenAction<</S/URI/URI(" + canary.encode() + b"/pdf)>>>>endobj\n",
        "good.png": picture,
        "good.jpg": _picture("JPEG"),
        "good.webp": _picture("WEBP"),
        "moving.gif": _picture("GIF"),
        "picture.bmp": _picture("BMP"),
        "cut.png": picture[: len(picture) // 2],
        "cut.jpg": _picture("JPEG")[:300],
        "with-a-tail.png": picture + _zip({"x": b"y"}),
        "pixel-bomb.png": _png_of(30_000, 30_000),
        "wide-bomb.png": _png_of(2_000_000_000, 1),
        "no-size.png": _png_of(0, 0),
        "lying-crc.png": picture[:40] + b"\0\0\0\0" + picture[44:],
    }


def _picture(kind: str) -> bytes:
    out = io.BytesIO()
    Image.radial_gradient("L").convert("RGB").save(out, kind)
    return out.getvalue()


def _zip(files: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return out.getvalue()


def _png_of(width_px: int, height_px: int) -> bytes:
    """A tiny file that says it is as large as that."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width_px, height_px, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * 100_000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")

"""A file of many mails, one after the other (mbox, RFC 4155): cut at its From lines, none of them held too long."""

from collections.abc import Iterable, Iterator


def is_mbox(beginning: bytes) -> bool:
    """True for bytes that begin like such a file."""
    return beginning.startswith(b"From ")


def split_mbox(lines: Iterable[bytes], *, most_bytes: int) -> Iterator[bytes]:
    """
    The mails between the From lines, each cut off after `most_bytes` and one more, so that too long shows.

    Notes: a line counts as From line only after an empty one or at the beginning, so the word in a letter does no harm.
        Reads `lines` once; holds one mail.

    >>> list(split_mbox([b"From a\\n", b"x\\n", b"\\n", b"From b\\n", b"From here\\n"], most_bytes=99))
    [b'x\\n\\n', b'From here\\n']
    """
    parts: list[bytes] | None = None
    size, is_after_empty = 0, True
    for line in lines:
        if is_after_empty and line.startswith(b"From "):
            if parts is not None:
                yield b"".join(parts)
            parts, size, is_after_empty = [], 0, False
            continue
        is_after_empty = line in (b"\n", b"\r\n")
        if parts is not None and size <= most_bytes:
            parts.append(line[: most_bytes + 1 - size])
            size += len(parts[-1])
    if parts is not None:
        yield b"".join(parts)

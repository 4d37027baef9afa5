"""Numbers as people write them on a sheet: 1-12, 15."""

import re
from collections.abc import Iterable


class RangeError(ValueError):
    """Text that names no numbers; the message is one plain sentence."""


def parse_numbers(text: str, *, highest: int, of: str = "the edition has copies") -> tuple[int, ...]:
    """
    Read single numbers and ranges, in any order.

    Parameters: text, such as "1-12, 15" or "3 5 7–9"; highest, the last number there is; of, the words for a number
        outside, before "1 to `highest`".
    Returns: the numbers rising, each once; none for blank text.
    Raises: RangeError for other words, a range that runs backwards, or a number outside 1 to `highest`.

    >>> parse_numbers("1-4, 9", highest=80)
    (1, 2, 3, 4, 9)
    """
    found: set[int] = set()
    joined = re.sub(r"\s*(?:[-–—‒−]|\bto\b)\s*", "-", text.strip())
    for part in re.split(r"[\s,;]+", joined):
        if part:
            found.update(_read(part, highest=highest, of=of))
    return tuple(sorted(found))


def _read(part: str, *, highest: int, of: str) -> range:
    match = re.fullmatch(r"#?(\d{1,6})(?:-#?(\d{1,6}))?", part)
    if match is None:
        raise RangeError(f"“{part[:20]}” is not a number; write numbers and ranges, like 1-12, 15.")
    first = int(match[1])
    last = int(match[2] or first)
    if last < first:
        raise RangeError(f"“{part}” runs backwards; write it as {last}-{first}.")
    if first < 1 or last > highest:
        raise RangeError(f"“{part}”: {of} 1 to {highest}.")
    return range(first, last + 1)


def write_numbers(numbers: Iterable[int]) -> str:
    """
    The same numbers as people write them, rising; `parse_numbers` reads them back.

    >>> write_numbers([9, 1, 2, 3, 4, 11, 12])
    '1-4, 9, 11-12'
    """
    spans: list[list[int]] = []
    for number in sorted(set(numbers)):
        if spans and spans[-1][1] == number - 1:
            spans[-1][1] = number
        else:
            spans.append([number, number])
    return ", ".join(str(first) if first == last else f"{first}-{last}" for first, last in spans)

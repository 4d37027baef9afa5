"""How counts and lists stand in a sentence; English, as all pages are."""

from collections.abc import Sequence

_SPELLED = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def spell(count: int) -> str:
    """
    A count up to twelve as a word, a larger one in figures.

    >>> spell(3), spell(22)
    ('three', '22')
    """
    return _SPELLED[count] if 0 <= count < len(_SPELLED) else str(count)


def count_of(count: int, noun: str, *, plural: str = "") -> str:
    """
    A count and its noun: a figure, because it stands beside other figures.

    >>> count_of(1, "work"), count_of(4, "work"), count_of(2, "copy", plural="copies")
    ('1 work', '4 works', '2 copies')
    """
    return f"{count} {noun if count == 1 else plural or noun + 's'}"


def join_words(parts: Sequence[str]) -> str:
    """
    A list as a sentence has it.

    >>> join_words(["a", "b", "c"]), join_words(["a"]), join_words([])
    ('a, b and c', 'a', '')
    """
    return " and ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)


def name_some(titles: Sequence[str], *, most: int = 4) -> str:
    """
    Titles in quotation marks, no more than `most`, the rest counted; never "and 1 more" where the name fits as well.

    >>> name_some(["A", "B", "C"], most=2), name_some(["A", "B", "C", "D"], most=2)
    ('“A”, “B” and “C”', '“A”, “B” and 2 more')
    """
    shown = titles if len(titles) <= most + 1 else titles[:most]
    rest = [f"{len(titles) - most} more"] if len(shown) < len(titles) else []
    return join_words([*(f"“{title}”" for title in shown), *rest])


def upper_first(text: str) -> str:
    """The text with a capital at its beginning, the rest as it is."""
    return text[:1].upper() + text[1:]


def lower_first(text: str) -> str:
    """
    A name as it stands within a sentence; abbreviations keep their capitals.

    >>> lower_first("Framed behind glass"), lower_first("MDF panel")
    ('framed behind glass', 'MDF panel')
    """
    return text if text[:2].isupper() else text[:1].lower() + text[1:]

"""How large an address can be set so that it fits its place on the label."""

import unicodedata
from collections.abc import Sequence

POINT_MM = 25.4 / 72
SIZES_PT = (17, 16, 15, 14, 13, 12, 11, 10, 9, 8, 7)
LINE_HEIGHT = 1.28
# Widths in ems, never below those of Noto Sans Regular, so that a real line is never longer than the estimate.
_CLASSES = (
    (0.42, "iIlj.,:;'’‘!()[]ftr-/· "),
    (0.58, "acesvxyzkJLFTEł0123456789?*"),
    (0.68, "bdghnopqußþðøđßPSXYZKVABCRµ#"),
    (0.99, "mwMW@%&©®¼½¾ŒÆœæ"),
)
_WIDTH_OF = {letter: width for width, letters in _CLASSES for letter in letters}
_LARGE, _WIDEST = 0.79, 1.3
_LAST_PLAIN = 0x17F  # beyond the two plain Latin blocks letters may be as wide as two


def choose_type_size(
    lines: Sequence[str], *, width_mm: float, height_mm: float, sizes_pt: Sequence[int] = SIZES_PT
) -> int:
    """
    The largest size in points at which `lines`, wrapped at `width_mm`, stay within `height_mm`.

    Returns: one of `sizes_pt`, which fall; the last if none fits by the estimate.

    >>> choose_type_size(["Erika Beispiel", "Platz der Republik 1", "11011 BERLIN"], width_mm=80, height_mm=60)
    17
    """
    return find_type_size(lines, width_mm=width_mm, height_mm=height_mm, sizes_pt=sizes_pt) or sizes_pt[-1]


def find_type_size(
    lines: Sequence[str], *, width_mm: float, height_mm: float, sizes_pt: Sequence[int] = SIZES_PT
) -> int | None:
    """
    The same, and None if no size fits: for a place beyond which nothing may go.

    >>> find_type_size(["Erika Beispiel", "Platz der Republik 1", "11011 BERLIN"], width_mm=80, height_mm=5) is None
    True
    """
    for size_pt in sizes_pt:
        em_mm = size_pt * POINT_MM
        rows = sum(_rows(line, em_mm=em_mm, width_mm=width_mm) for line in lines)
        if rows * em_mm * LINE_HEIGHT <= height_mm:
            return size_pt
    return None


def cut_short(text: str, *, width_mm: float, size_pt: float) -> str:
    """
    `text`, or as much of its beginning as is surely within `width_mm` on one line, with an ellipsis.

    >>> cut_short("Harbour light", width_mm=60, size_pt=10), cut_short("Harbour light", width_mm=20, size_pt=10)
    ('Harbour light', 'Harbour…')
    """
    em_mm, used_mm, kept = size_pt * POINT_MM, 0.0, 0
    for at, character in enumerate(text):
        used_mm += _width(character) * em_mm
        if used_mm > width_mm:
            return f"{text[:kept].rstrip(' ,')}…"
        if used_mm + _LARGE * em_mm <= width_mm:
            kept = at + 1
    return text


def _rows(line: str, *, em_mm: float, width_mm: float) -> int:
    """Rows that a line takes when broken between words, and within a word that is longer than a row."""
    rows, used_mm = 1, 0.0
    for word in line.split():
        for piece_mm in _pieces(word, em_mm=em_mm, width_mm=width_mm):
            gap_mm = _width(" ") * em_mm if used_mm else 0.0
            if used_mm and used_mm + gap_mm + piece_mm > width_mm:
                rows, used_mm = rows + 1, piece_mm
            else:
                used_mm += gap_mm + piece_mm
    return rows


def _pieces(word: str, *, em_mm: float, width_mm: float) -> list[float]:
    word_mm = sum(_width(character) for character in word) * em_mm
    whole, rest_mm = divmod(word_mm, width_mm)
    return [width_mm] * int(whole) + ([rest_mm] if rest_mm else [])


def _width(character: str) -> float:
    letter = unicodedata.normalize("NFD", character)[0]
    if unicodedata.combining(letter):
        return 0.0
    return _WIDTH_OF.get(letter, _LARGE if ord(letter) <= _LAST_PLAIN else _WIDEST)

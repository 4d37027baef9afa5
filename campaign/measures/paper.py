"""Sheet sizes that go by a name: the A, B and C series and A3+."""

import re

# Size 0 of each series; every next size halves the long side, rounded down to the millimetre.
_LARGEST_MM = {"a": (841, 1189), "b": (1000, 1414), "c": (917, 1297)}
_A3_PLUS_MM = (329, 483)
_NAME = re.compile(
    r"(?:(?:din|iso)[ -]?)?(?P<series>[abc]) ?(?P<number>10|\d)(?P<plus>\+?)"
    r"[ ,(]*(?P<stands>landscape|portrait|upright)?\)?",
    re.IGNORECASE,
)


def sheet_mm(series: str, number: int) -> tuple[int, int]:
    """
    Width and height of a sheet standing upright, in mm.

    Parameters: series, "a", "b" or "c"; number, 0 to 10.
    Source: ISO 216 (A, B), ISO 269 (C); checked in tests/outside/test_iso216_sheets.py.

    >>> sheet_mm("a", 3)
    (297, 420)
    """
    width, height = _LARGEST_MM[series]
    for _ in range(number):
        width, height = height // 2, width
    return width, height


def parse_paper_mm(text: str) -> tuple[int, int] | None:
    """
    Read a sheet's name (A3, DIN A2, A2 landscape, A3+) as (width, height) in mm, None if it is no name.

    >>> parse_paper_mm("A2 landscape")
    (594, 420)
    """
    match = _NAME.fullmatch(text)
    if match is None:
        return None
    series, number = match["series"].lower(), int(match["number"])
    if match["plus"] and (series, number) != ("a", 3):
        return None
    width, height = _A3_PLUS_MM if match["plus"] else sheet_mm(series, number)
    return (height, width) if (match["stands"] or "").lower() == "landscape" else (width, height)

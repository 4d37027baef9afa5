"""The sheets that papers are printed on, and where the parts of a label stand; millimetres and printer dots."""

from dataclasses import dataclass

DOT_MM = 25.4 / 203  # the usual label printer has 203 dots an inch
DOTS_A_MODULE = 3  # a bar is whole dots wide, or no printer draws it evenly


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A label size: `left_mm` and `top_mm` bring the same 91 × 138 mm drawing to the middle of it."""

    code: str
    name: str
    page_size: str
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float


INNER_WIDTH_MM, INNER_HEIGHT_MM = 91.0, 138.0
# A6 is 4.4 mm shorter and 3.4 mm wider than 4 × 6 in; one drawing within 101 × 148 mm serves both.
LABEL_SHEETS = (
    LabelSheet("4x6", "4 × 6 in", "101.6mm 152.4mm", 101.6, 152.4, 5.3, 6.5),
    LabelSheet("a6", "A6", "105mm 148mm", 105.0, 148.0, 7.0, 5.0),
)


def bar_width_mm(modules: int, *, dots: int = DOTS_A_MODULE) -> float:
    """
    Width at which a bar code of so many modules, quiet zones included, has bars of whole printer dots.

    >>> round(bar_width_mm(165), 2)
    61.94
    """
    return modules * dots * DOT_MM

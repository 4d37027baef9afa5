"""Labels on whole sheets of office paper: where each stands, whether they fit, where things stand on one label."""

from collections.abc import Sequence
from dataclasses import dataclass

from fulfilment.packing.label import DOT_MM, DOTS_A_MODULE
from fulfilment.packing.type_size import find_type_size

PAGES_TENTHS = {"A4": (2100, 2970), "letter": (2159, 2794)}
LEAST_TENTHS = (600, 360)  # an address of four lines, the parcel's number and its bar code
NUMBER_MM = 16.0  # width of the parcel's number, right of the sender
KEY_MM, GAP_MM = 2.8, 1.2
# Blank edge, height of the sender's line or two, and of the bars: on labels higher than this, and on lower ones.
LOW_MM = 45.0
USUAL_MM, LOW_PARTS_MM = (3.0, 5.6, 8.0), (2.5, 4.6, 5.5)
SENDER_SIZES_PT = (7, 6, 5)
ADDRESS_SIZES_PT = (14, 13, 12, 11, 10, 9, 8, 7)


@dataclass(frozen=True, slots=True)
class LabelGrid:
    """
    A sheet of equal labels, measured in tenths of a millimetre, since that is how sheets of labels are.

    `page` is A4 or letter; margins are from the page's edges to the first label, gaps between one and the next.
    """

    page: str
    columns: int
    rows: int
    width_tenths: int
    height_tenths: int
    left_tenths: int
    top_tenths: int
    gap_x_tenths: int = 0
    gap_y_tenths: int = 0

    @property
    def places(self) -> int:
        """Labels on a sheet."""
        return self.columns * self.rows

    def place_mm(self, place: int) -> tuple[float, float]:
        """
        Left and top of a place, counted from 1 along the rows.

        >>> PRESETS[0].place_mm(4)
        (106.3, 80.8)
        """
        row, column = divmod(place - 1, self.columns)
        left = self.left_tenths + column * (self.width_tenths + self.gap_x_tenths)
        return left / 10, (self.top_tenths + row * (self.height_tenths + self.gap_y_tenths)) / 10

    def sheets_for(self, labels: int, *, first_place: int) -> int:
        """
        Sheets that so many labels take when the first stands in `first_place`.

        >>> PRESETS[0].sheets_for(9, first_place=1), PRESETS[0].sheets_for(9, first_place=8)
        (2, 2)
        """
        return -(-(first_place - 1 + labels) // self.places)

    def fault(self) -> str:
        """Why no sheet is like this, as a sentence; empty if one can be."""
        if self.width_tenths < LEAST_TENTHS[0] or self.height_tenths < LEAST_TENTHS[1]:
            return (
                f"A label of {_mm(self.width_tenths)} × {_mm(self.height_tenths)} mm has no room for an address, the "
                f"parcel’s number and its bar code; {_mm(LEAST_TENTHS[0])} × {_mm(LEAST_TENTHS[1])} mm is the least."
            )
        page = PAGES_TENTHS[self.page]
        across = _span(self.left_tenths, self.columns, self.width_tenths, self.gap_x_tenths)
        down = _span(self.top_tenths, self.rows, self.height_tenths, self.gap_y_tenths)
        for what, needed, there in (("wide", across, page[0]), ("high", down, page[1])):
            if needed > there:
                return (
                    f"Margin, labels and gaps together are {_mm(needed)} mm {what}; the page is {_mm(there)} mm. "
                    f"Measure once more, from the page’s edge."
                )
        return ""

    @property
    def words(self) -> str:
        """
        How it is named: by its measures.

        >>> PRESETS[0].words
        '2 × 4 labels of 99.1 × 67.7 mm'
        """
        return f"{self.columns} × {self.rows} labels of {self.label_words}"

    @property
    def label_words(self) -> str:
        """How large one label is."""
        return f"{_mm(self.width_tenths)} × {_mm(self.height_tenths)} mm"


def _span(margin: int, count: int, size: int, gap: int) -> int:
    return margin + count * size + (count - 1) * gap


def _mm(tenths: int) -> str:
    return f"{tenths / 10:g}"


PRESETS = (
    LabelGrid("A4", 2, 4, 991, 677, 47, 131, 25),
    LabelGrid("A4", 2, 3, 991, 931, 47, 88, 25),
    LabelGrid("A4", 2, 2, 991, 1390, 47, 95, 25),
    LabelGrid("A4", 2, 5, 991, 570, 47, 60, 25),
    LabelGrid("A4", 3, 7, 635, 381, 72, 151, 25),
    LabelGrid("letter", 2, 5, 1016, 508, 40, 127, 48),
    LabelGrid("letter", 2, 3, 1016, 846, 40, 127, 48),
    LabelGrid("letter", 2, 2, 1016, 1270, 40, 127, 48),
)


@dataclass(frozen=True, slots=True)
class LabelFace:
    """Where things stand on one label, in mm from its left and top; all boxes are apart from each other."""

    pad_mm: float
    inner_mm: float
    sender_mm: float
    address_top_mm: float
    address_height_mm: float
    bars_top_mm: float
    bars_mm: float

    @property
    def sender_width_mm(self) -> float:
        """The sender's line, left of the parcel's number."""
        return self.inner_mm - NUMBER_MM - GAP_MM

    def dots_a_module(self, modules: int) -> int:
        """
        Printer dots for one bar, quiet zones in `modules`; as wide as leaves room for words beside the code.

        >>> face_of(PRESETS[0]).dots_a_module(165), face_of(PRESETS[4]).dots_a_module(165)
        (3, 2)
        """
        return DOTS_A_MODULE if modules * DOTS_A_MODULE * DOT_MM <= self.inner_mm - NUMBER_MM else DOTS_A_MODULE - 1

    def sizes_pt(self, *, sender: Sequence[str], address: Sequence[str]) -> tuple[int | None, int | None]:
        """Type sizes for sender and address, None where even the smallest does not hold all of it."""
        return (
            find_type_size(sender, width_mm=self.sender_width_mm, height_mm=self.sender_mm, sizes_pt=SENDER_SIZES_PT),
            find_type_size(
                address, width_mm=self.inner_mm, height_mm=self.address_height_mm, sizes_pt=ADDRESS_SIZES_PT
            ),
        )


def face_of(grid: LabelGrid) -> LabelFace:
    """The face of each label of a sheet: sender and number, address, bar code, from the top down."""
    width, height = grid.width_tenths / 10, grid.height_tenths / 10
    pad, sender, bars = USUAL_MM if height > LOW_MM else LOW_PARTS_MM
    bars_top = height - pad - KEY_MM - bars
    address_top = pad + sender + GAP_MM
    return LabelFace(pad, width - 2 * pad, sender, address_top, bars_top - GAP_MM - address_top, bars_top, bars)

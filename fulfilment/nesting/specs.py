"""What is laid onto paper, and how it lies: whole millimetres, x from the left, y from the beginning of the paper."""

from collections.abc import Sequence
from dataclasses import dataclass

from campaign.measures.words import join_words


class DoesNotFit(Exception):
    """Prints that are larger than any paper they could go on; `codes` names them."""

    def __init__(self, codes: Sequence[str]) -> None:
        super().__init__(f"larger than the paper: {join_words(codes)}")
        self.codes = tuple(codes)


@dataclass(frozen=True, slots=True)
class Print:
    """
    One sheet to be cut out: `width_mm` × `height_mm` with its own white border.

    `can_turn`: whether it may lie across; paper with a grain or a texture does not let it.
    """

    code: str
    width_mm: int
    height_mm: int
    can_turn: bool = True

    def __post_init__(self) -> None:
        if self.width_mm <= 0 or self.height_mm <= 0:
            raise ValueError(f"{self.code}: a print has a width and a height")


@dataclass(frozen=True, slots=True)
class Roll:
    """
    Paper of any length. `side_mm` is what the printer leaves white at either edge, `lead_mm` and `tail_mm` before the
    first print and behind the last; `gap_mm` is kept between prints for the knife.
    """

    width_mm: int
    side_mm: int = 0
    lead_mm: int = 0
    tail_mm: int = 0
    gap_mm: int = 0

    @property
    def usable_mm(self) -> int:
        """The width that can be printed on."""
        return self.width_mm - 2 * self.side_mm


@dataclass(frozen=True, slots=True)
class Sheets:
    """`count` equal sheets that are there; more would have to be bought. `margin_mm` all round stays white."""

    code: str
    width_mm: int
    height_mm: int
    count: int
    margin_mm: int = 0
    gap_mm: int = 0


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a print lies: its lower-left corner and its size as it lies there."""

    code: str
    x_mm: int
    y_mm: int
    width_mm: int
    height_mm: int
    is_turned: bool

    @property
    def right_mm(self) -> int:
        """Where it ends, across."""
        return self.x_mm + self.width_mm

    @property
    def top_mm(self) -> int:
        """Where it ends, along."""
        return self.y_mm + self.height_mm


@dataclass(frozen=True, slots=True)
class RollNest:
    """Prints on a roll, in the order in which they come out. `bound_mm`: no nest at all is shorter than that."""

    roll: Roll
    spots: tuple[Spot, ...]
    length_mm: int
    bound_mm: int


@dataclass(frozen=True, slots=True)
class SheetNest:
    """Prints on one sheet of the kind `code`; one that is not there `is_owned` False."""

    code: str
    is_owned: bool
    spots: tuple[Spot, ...]

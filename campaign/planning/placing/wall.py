"""Where works can hang and where they do: stretches, rows, gaps, hooks; which works hang is not decided here."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from campaign.measures.money import allocate
from campaign.planning.errors import WallTooNarrow
from campaign.planning.inputs import (
    BlockedArea,
    Option,
    PlanRequest,
    WallSpec,
)


@dataclass(frozen=True, slots=True)
class Stretch:
    """
    A free piece of one row of a wall, from `x_mm` on, where works up to `max_height_mm` hang around `centre_mm`.

    `row` is 0 for the only or the upper row; `gap_mm` is kept between works and to both ends.
    """

    wall_code: str
    x_mm: int
    length_mm: int
    max_height_mm: int
    centre_mm: int
    row: int = 0
    gap_mm: int = 0

    @property
    def end_mm(self) -> int:
        """Where the piece ends, from the wall's left edge."""
        return self.x_mm + self.length_mm


def stretches(wall: WallSpec, *, band_mm: int | None = None, min_gap_mm: int = 0) -> tuple[Stretch, ...]:
    """
    Cut a wall into the stretches where works can hang: the upper row first, each row left to right.

    Parameters: band_mm, height of the band around a row's line in which works hang (the tallest one on
        offer); None for the tallest band the row has. min_gap_mm, the show's gap, where the wall has none of its own.
    Returns: pieces between the end margins. A blocked area that reaches into a row's band cuts that row at both its
        sides; beside it works hang as high as the band, above or below it as high as it leaves room.
    Notes: clear height is symmetric around the row's line, because works hang with their middle on it.
    """
    gap_mm = wall.gap_mm(otherwise_mm=min_gap_mm)
    return tuple(
        replace(piece, row=row, gap_mm=gap_mm)
        for row, line_mm in enumerate(wall.row_centres_mm)
        for piece in _stretches_of_row(wall, line_mm=line_mm, band_mm=band_mm)
    )


def _stretches_of_row(wall: WallSpec, *, line_mm: int, band_mm: int | None) -> list[Stretch]:
    band = _band_mm(wall, line_mm=line_mm)
    band = band if band_mm is None else min(band_mm, band)
    left, right = wall.end_margin_mm, wall.width_mm - wall.end_margin_mm
    if left >= right or band <= 0:
        return []
    edges = {left, right}
    reaching = [area for area in wall.blocked if _clear_height_mm(area, line_mm=line_mm) < band]
    for area in reaching:
        edges.update(x for x in (area.x_mm, area.x_mm + area.width_mm) if left < x < right)
    pieces: list[Stretch] = []
    for start, end in itertools.pairwise(sorted(edges)):
        over = [area for area in reaching if area.x_mm < end and start < area.x_mm + area.width_mm]
        height = min([band, *(_clear_height_mm(area, line_mm=line_mm) for area in over)])
        if pieces and pieces[-1].max_height_mm == height and pieces[-1].end_mm == start:
            start = pieces.pop().x_mm
        if height > 0 and start < end:
            pieces.append(Stretch(wall.code, start, end - start, height, line_mm))
    return pieces


def stretches_for(request: PlanRequest) -> tuple[Stretch, ...]:
    """All stretches of a request, wall by wall, cut for the tallest option on offer."""
    tallest = max((option.height_mm for work in request.works for option in work.options), default=0)
    return tuple(
        piece for wall in request.walls for piece in stretches(wall, band_mm=tallest, min_gap_mm=request.min_gap_mm)
    )


def hanging_stretches(request: PlanRequest) -> tuple[Stretch, ...]:
    """The stretches that take at least one option on offer, with the gap on both its sides."""
    options = [option for work in request.works for option in work.options]
    return tuple(piece for piece in stretches_for(request) if any(takes(piece, option=option) for option in options))


def takes(stretch: Stretch, *, option: Option) -> bool:
    """Whether one option could hang in a stretch alone; a pin is not looked at."""
    return option.height_mm <= stretch.max_height_mm and option.width_mm + 2 * stretch.gap_mm <= stretch.length_mm


def equal_gaps(widths_mm: Sequence[int], *, length_mm: int) -> tuple[int, ...]:
    """
    The n + 1 gaps, both ends included, that spread n works evenly over a length.

    Returns: gaps that differ by at most 1 mm, the wider ones on the left; widths and gaps add up to the length.
    Raises: WallTooNarrow when the works alone are longer.
    Source: arithmetic; checked in tests/outside/test_hanging.py.

    >>> equal_gaps([500, 800, 500, 650], length_mm=5000)
    (510, 510, 510, 510, 510)
    """
    spare = length_mm - sum(widths_mm)
    if spare < 0:
        raise WallTooNarrow(needed_mm=sum(widths_mm), available_mm=length_mm)
    return allocate(spare, [1] * (len(widths_mm) + 1))


def place_evenly(widths_mm: Sequence[int], *, length_mm: int) -> tuple[int, ...]:
    """Left edges of works spread with equal gaps over a length, in the order given."""
    gaps = equal_gaps(widths_mm, length_mm=length_mm)
    edges: list[int] = []
    at = 0
    for gap, width in zip(gaps, widths_mm, strict=False):
        edges.append(at + gap)
        at += gap + width
    return tuple(edges)


def hook_height_mm(*, centre_mm: int, height_mm: int, drop_mm: int) -> int:
    """
    Height of the hook above the floor: centre + H / 2 - drop, an odd half millimetre rounded up.

    Parameters: height_mm, outer frame; drop_mm, from the frame's top down to the tight wire or the ring.
    Source: museum and framers' hanging guides; checked in tests/outside/test_hanging.py.

    >>> hook_height_mm(centre_mm=1450, height_mm=600, drop_mm=70)
    1680
    """
    return centre_mm + (height_mm + 1) // 2 - drop_mm


def _band_mm(wall: WallSpec, *, line_mm: int) -> int:
    """The height that works around a line can have: within floor and ceiling, of two rows within the row's own."""
    within = 2 * min(line_mm, wall.height_mm - line_mm)
    return within if wall.rows == 1 else min(within, wall.row_height_mm)


def _clear_height_mm(area: BlockedArea, *, line_mm: int) -> int:
    """Tallest work that hangs over or under the area on the line; 0 when the area lies across it."""
    below, above = area.y_mm - line_mm, line_mm - (area.y_mm + area.height_mm)
    return max(2 * max(below, above), 0)

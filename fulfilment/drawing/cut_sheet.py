"""A sheet or a length of roll to scale: the prints on it, the cuts that free them, and every cut's figure beside it."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from fulfilment.nesting import Knife, Spot

WIDTH_UNITS = 10_000
FONT_UNITS = 230  # on paper; on a page that is looked at on a phone figures are larger
MOST_HEIGHT_UNITS = 9_500
SHARES = (50, 35, 65, 20, 80, 10, 90)  # per cent of a cut, where its number may stand
SMALLEST_UNITS = 120  # of letters within a print


@dataclass(frozen=True, slots=True)
class _Lettering:
    """What follows from how high letters are."""

    font: int

    @property
    def letter(self) -> int:
        """The width of a figure, a little generous."""
        return self.font * 59 // 100

    @property
    def line(self) -> int:
        """From one figure to the next."""
        return self.font * 122 // 100

    @property
    def top(self) -> int:
        """Above the paper, where its width is said."""
        return self.font * 2

    @property
    def right(self) -> int:
        """Beside the paper, for the figures of cuts across."""
        return self.font * 10

    @property
    def badge(self) -> int:
        """The radius of the circle around the number of a cut."""
        return self.font * 65 // 100

    @property
    def left(self) -> int:
        """Beside the paper, for half the number of a cut at its edge."""
        return self.badge + 20

    @property
    def leader(self) -> int:
        """From the paper's edge to a figure."""
        return self.font * 144 // 100


@dataclass(frozen=True, slots=True)
class DrawnPrint:
    """A print where it lies: its rectangle, the picture within its white border, its label and its size in words."""

    x: int
    y: int
    width: int
    height: int
    border: int
    label: str
    size: str
    label_y: int
    label_font: int
    size_y: int
    size_font: int

    @property
    def middle_x(self) -> int:
        """Where its words are centred."""
        return self.x + self.width // 2

    @property
    def inner(self) -> tuple[int, int, int, int]:
        """The picture within the border: x, y, width, height."""
        return self.x + self.border, self.y + self.border, self.width - 2 * self.border, self.height - 2 * self.border


@dataclass(frozen=True, slots=True)
class DrawnCut:
    """The line of a cut from (x, y) to (x2, y2), and where its number stands."""

    step: int
    x: int
    y: int
    x2: int
    y2: int
    badge_x: int
    badge_y: int


@dataclass(frozen=True, slots=True)
class Callout:
    """A figure outside the paper with the numbers of its cuts, and the line that leads there from the paper's edge."""

    x: int
    y: int
    text: str
    leader: str


@dataclass(frozen=True, slots=True)
class DrawnSheet:
    """The whole drawing, `width` × `height`; y downwards, so that the beginning of the paper is below."""

    width: int
    height: int
    x: int
    y: int
    paper_width: int
    paper_height: int
    prints: tuple[DrawnPrint, ...]
    cuts: tuple[DrawnCut, ...]
    beside: tuple[Callout, ...]
    below: tuple[Callout, ...]
    across: str
    font: int

    @property
    def badge(self) -> int:
        """The radius of the circle around the number of a cut."""
        return _Lettering(self.font).badge

    @property
    def badge_font(self) -> int:
        """How high the number in it is."""
        return self.font * 83 // 100

    @property
    def right_x(self) -> int:
        """The paper's right edge."""
        return self.x + self.paper_width

    @property
    def foot_y(self) -> int:
        """The paper's lower edge."""
        return self.y + self.paper_height


def draw_sheet(
    spots: Sequence[Spot],
    *,
    width_mm: int,
    height_mm: int,
    cuts: Sequence[Knife],
    words: Mapping[str, tuple[str, str, int]],
    figure: Callable[[int], str],
    font: int = FONT_UNITS,
) -> DrawnSheet:
    """
    Draw what lies on a sheet or a length, to scale, with the cuts of `cut_apart`.

    Parameters: words, by the code of a print: its label, its size in words, its border in mm; figure, writes a length
        without its unit; font, how high its letters are.
    Returns: integer units; every cut has its line and its figure, figures do not stand on each other.
    """
    lettering = _Lettering(font)
    room = WIDTH_UNITS - lettering.left - lettering.right
    scale = min(room / width_mm, MOST_HEIGHT_UNITS / height_mm)

    def to_units(mm: int) -> int:
        return round(mm * scale)

    wide, high = to_units(width_mm), to_units(height_mm)
    left, foot = lettering.left, lettering.top + high
    prints = tuple(_print(spot, words=words, to_units=to_units, left=left, foot=foot, font=font) for spot in spots)
    beside = _beside(cuts, to_units=to_units, right=left + wide, foot=foot, figure=figure, lettering=lettering)
    below = _below(cuts, to_units=to_units, left=left, foot=foot, figure=figure, lettering=lettering)
    longest = max((len(callout.text) for callout in below), default=0)
    deepest = max([foot + 60, *(callout.y + font // 2 for callout in beside)])
    if below:
        deepest = max(deepest, foot + lettering.leader + longest * lettering.letter + 60)
    return DrawnSheet(
        width=WIDTH_UNITS,
        height=deepest,
        x=left,
        y=lettering.top,
        paper_width=wide,
        paper_height=high,
        prints=prints,
        cuts=tuple(_cuts(cuts, to_units=to_units, left=left, foot=foot, apart=2 * lettering.badge)),
        beside=beside,
        below=below,
        across=figure(width_mm),
        font=font,
    )


_Units = Callable[[int], int]


def _print(
    spot: Spot, *, words: Mapping[str, tuple[str, str, int]], to_units: _Units, left: int, foot: int, font: int
) -> DrawnPrint:
    label, size, border_mm = words.get(spot.code, ("", "", 0))
    x, y = left + to_units(spot.x_mm), foot - to_units(spot.top_mm)
    width, height = left + to_units(spot.right_mm) - x, foot - to_units(spot.y_mm) - y
    label_font = _font(label, width=width, most=min(font * 226 // 100, height // 2))
    size_font = _font(size, width=width, most=min(font, (height - label_font) // 2))
    size_font = size_font if size_font >= SMALLEST_UNITS else 0
    middle = y + height // 2
    return DrawnPrint(
        x=x,
        y=y,
        width=width,
        height=height,
        border=to_units(border_mm),
        label=label,
        size=size if size_font else "",
        label_y=middle + (label_font * 35 // 100 if not size_font else -label_font // 10),
        label_font=label_font,
        size_y=middle + size_font + label_font // 10,
        size_font=size_font,
    )


def _font(text: str, *, width: int, most: int) -> int:
    """The largest letters, at most `most`, in which `text` stays within nine tenths of `width`."""
    return max(0, min(most, width * 9 * 100 // (10 * 62 * max(1, len(text)))))


def _cuts(cuts: Sequence[Knife], *, to_units: _Units, left: int, foot: int, apart: int) -> Iterator[DrawnCut]:
    """Every cut with its number on it, where that is clear of the numbers before."""
    taken: list[tuple[int, int]] = []
    for cut in cuts:
        if cut.is_across:
            y = y2 = foot - to_units(cut.at_mm)
            x, x2 = left + to_units(cut.start_mm), left + to_units(cut.end_mm)
        else:
            x = x2 = left + to_units(cut.at_mm)
            y, y2 = foot - to_units(cut.start_mm), foot - to_units(cut.end_mm)
        places = [(x + (x2 - x) * share // 100, y + (y2 - y) * share // 100) for share in SHARES]
        clear = (one for one in places if all(max(abs(one[0] - a), abs(one[1] - b)) >= apart for a, b in taken))
        badge = next(clear, places[0])
        taken.append(badge)
        yield DrawnCut(cut.step, x, y, x2, y2, *badge)


def _called(cuts: Sequence[Knife], *, is_across: bool, figure: Callable[[int], str]) -> list[tuple[int, str]]:
    steps: defaultdict[int, list[str]] = defaultdict(list)
    for cut in cuts:
        if cut.is_across == is_across:
            steps[cut.at_mm].append(str(cut.step))
    return [(at_mm, f"{', '.join(numbers)}: {figure(at_mm)}") for at_mm, numbers in sorted(steps.items())]


def _beside(
    cuts: Sequence[Knife],
    *,
    to_units: _Units,
    right: int,
    foot: int,
    figure: Callable[[int], str],
    lettering: _Lettering,
) -> tuple[Callout, ...]:
    """Figures of the cuts across, on the right, from the top down."""
    called = sorted((foot - to_units(at), text) for at, text in _called(cuts, is_across=True, figure=figure))
    places = spread([y for y, _ in called], apart=lettering.line, least=lettering.top, most=foot)
    x = right + lettering.leader
    return tuple(
        Callout(x, at, text, f"M{right} {y}h60L{x - 60} {at}") for (y, text), at in zip(called, places, strict=True)
    )


def _below(
    cuts: Sequence[Knife],
    *,
    to_units: _Units,
    left: int,
    foot: int,
    figure: Callable[[int], str],
    lettering: _Lettering,
) -> tuple[Callout, ...]:
    """Figures of the cuts along, below the paper, turned so that they read downwards."""
    called = [(left + to_units(at), text) for at, text in _called(cuts, is_across=False, figure=figure)]
    line, y = lettering.line, foot + lettering.leader
    places = spread([x for x, _ in called], apart=line, least=line, most=WIDTH_UNITS - line)
    return tuple(
        Callout(at, y, text, f"M{x} {foot}v60L{at} {y - 60}") for (x, text), at in zip(called, places, strict=True)
    )


def spread(wanted: Sequence[int], *, apart: int, least: int, most: int) -> list[int]:
    """
    Places near the wanted ones, rising like them, at least `apart` from each other; beyond `most` where there are many.

    >>> spread([10, 12, 14, 60], apart=10, least=0, most=70)
    [10, 20, 30, 60]
    >>> spread([60, 68, 70], apart=10, least=0, most=70)
    [50, 60, 70]
    """
    places: list[int] = []
    for want in wanted:
        places.append(max(want, places[-1] + apart if places else least))
    ceiling = max(most, least + apart * (len(places) - 1))
    for at in reversed(range(len(places))):
        places[at] = min(places[at], ceiling)
        ceiling = places[at] - apart
    return places

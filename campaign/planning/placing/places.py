"""Whether a choice hangs, and where; the choice itself is made elsewhere."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from campaign.planning.arrays import BoolArray, IntArray
from campaign.planning.errors import NotPlaceable
from campaign.planning.inputs import PlanRequest
from campaign.planning.placing.arrange import improve, order_works, spread
from campaign.planning.placing.assign import NODE_LIMIT, PLACING_NODE_LIMIT, assign, assign_quickly
from campaign.planning.placing.first_fit import FrameTables
from campaign.planning.placing.rows import Undecided
from campaign.planning.placing.search import search
from campaign.planning.placing.ties import Frame, Hung, Task, Ties
from campaign.planning.placing.wall import Stretch, place_evenly
from campaign.planning.results import Placement


class _Profiles:
    """Profiles of frames, in one array that grows, so that one is compared with all at once."""

    def __init__(self) -> None:
        self._rows: IntArray = np.zeros((0, 0), dtype=np.int64)
        self._count = 0

    def add(self, profile: IntArray) -> None:
        """Keep one more."""
        if self._count == len(self._rows):
            larger = np.zeros((max(2 * self._count, 16), profile.size), dtype=np.int64)
            larger[: self._count] = self._rows if self._count else 0
            self._rows = larger
        self._rows[self._count] = profile
        self._count += 1

    def any_within(self, profile: IntArray) -> bool:
        """Whether one of them is nowhere larger than this."""
        return self._count > 0 and bool((self._rows[: self._count] <= profile).all(axis=1).any())

    def any_beyond(self, profile: IntArray) -> bool:
        """Whether one of them is nowhere smaller than this."""
        return self._count > 0 and bool((self._rows[: self._count] >= profile).all(axis=1).any())


@dataclass(slots=True)
class _Known:
    """What was found of frames that hang, and do not, beside the same special works."""

    fitting: _Profiles = field(default_factory=_Profiles)
    failing: _Profiles = field(default_factory=_Profiles)


class HangingTest:
    """
    Whether choices of one request can hang; remembers what it found.

    A choice holds one option index per work of the request, -1 for not hung. Money, printer time and what must hang
    are not looked at: only walls, rows, gaps, pins and pairs.
    """

    def __init__(self, request: PlanRequest) -> None:
        self.ties = Ties(request)
        self._seen: dict[tuple[Hung, tuple[Frame, ...]], bool | None] = {}
        self._known: dict[tuple[Hung, int], _Known] = {}
        self._tables: FrameTables | None = None

    def hangs(self, choice: Sequence[int]) -> bool | None:
        """True or False, or None when the search was given up; `place_on_walls` finds places for every True."""
        special, frames = _split(self.ties, choice=choice)
        key = (special, tuple(frames))
        if key not in self._seen:
            self._seen[key] = self._decide(special, frames=frames)
        return self._seen[key]

    def hangs_at_once(self, choice: Sequence[int]) -> bool | None:
        """As `hangs`, by the quick ways alone; None where they do not say."""
        special, frames = _split(self.ties, choice=choice)
        key = (special, tuple(frames))
        if key not in self._seen:
            task = _task(self.ties, special=special, frames=frames)
            if task is not None and assign_quickly(task) is None:
                return None
            self._seen[key] = task is not None
        return self._seen[key]

    def fit_first(self, choices: IntArray) -> BoolArray:
        """
        Which of many choices (N, n) the first of the quick ways hangs, all of them at once.

        False says nothing: it did not work out, or a work that hangs is more than a size.
        """
        if self._tables is None:
            self._tables = FrameTables(self.ties)
        return self._tables.fit_first(choices)

    @property
    def is_plain(self) -> bool:
        """Whether works are nothing but sizes: no pins, no pairs, no sets."""
        return self.ties.is_plain

    def _decide(self, special: Hung, *, frames: Sequence[Frame]) -> bool | None:
        task = _task(self.ties, special=special, frames=frames)
        if task is None:
            return False
        try:
            return assign_quickly(task) is not None or self._search(task, special=special, frames=frames)
        except Undecided:
            return None

    def _search(self, task: Task, *, special: Hung, frames: Sequence[Frame]) -> bool:
        """By what is known of larger and smaller frames, else by trying every way."""
        # With foes a work more can help, as it hangs between them: then only equally many frames compare.
        known = self._known.setdefault((special, len(frames) if task.foes else -1), _Known())
        profile = self._profile(frames)
        if known.failing.any_within(profile):
            return False
        # Frames that must fit get the longer search: a yes without places in hand would be no use on the wall.
        limit = PLACING_NODE_LIMIT if known.fitting.any_beyond(profile) else NODE_LIMIT
        fits = search(task, node_limit=limit) is not None
        (known.fitting if fits else known.failing).add(profile)
        return fits

    def _profile(self, frames: Sequence[Frame]) -> IntArray:
        """
        Widths, largest first, in a row per class of height.

        Frames whose profile is nowhere larger hang wherever the others do.
        """
        kinds = len(self.ties.heights) + 1
        profile = np.zeros((kinds, len(self.ties.works)), dtype=np.int64)
        for kind in range(kinds):
            widths = sorted((-width for height, width in frames if -height == kind), reverse=True)
            profile[kind, : len(widths)] = widths
        return profile.ravel()


def _split(ties: Ties, *, choice: Sequence[int]) -> tuple[Hung, list[Frame]]:
    """The works of a choice that are more than a size, and the frames of the others, hardest first."""
    if ties.is_plain:
        return (), sorted(of_work[option] for of_work, option in zip(ties.frames, choice, strict=True) if option >= 0)
    hung = tuple((work, option) for work, option in enumerate(choice) if option >= 0)
    special = ties.special(hung)
    named = set(special)
    return special, sorted(ties.frames[work][option] for work, option in hung if (work, option) not in named)


def _task(ties: Ties, *, special: Hung, frames: Sequence[Frame]) -> Task | None:
    if not special:
        return ties.plain_task(frames)
    tied = ties.task(special, frames=frames)
    return None if tied is None else tied[0]


def place_on_walls(request: PlanRequest, choice: Sequence[int], *, is_arranged: bool = True) -> tuple[Placement, ...]:
    """
    Hang a choice: pins and pairs respected, series together, large works not squeezed, equal gaps within a stretch.

    Parameters: choice, one option index per work, -1 for not hung; is_arranged, whether to look for good places and
        not only for possible ones.
    Returns: placements wall by wall, the upper row first, left to right.
    Raises: NotPlaceable(codes) when no way was found.
    """
    ties = Ties(request)
    special, frames = _split(ties, choice=choice)
    hung = [(work, option) for work, option in enumerate(choice) if option >= 0]
    try:
        places = _places(ties, hung=hung, special=special, frames=frames, is_arranged=is_arranged)
    except Undecided:
        places = None
    if places is None:
        raise NotPlaceable(codes=tuple(request.works[work].code for work, _ in hung))
    walls = {wall.code: i for i, wall in enumerate(request.walls)}
    return tuple(sorted(places, key=lambda place: (walls[place.wall_code], place.row, place.x_mm)))


def _places(
    ties: Ties, *, hung: Sequence[tuple[int, int]], special: Hung, frames: Sequence[Frame], is_arranged: bool
) -> list[Placement] | None:
    loose: Hung = ()
    task: Task | None = ties.plain_task(frames)
    if special:
        tied = ties.task(special, frames=frames)
        task, loose = tied if tied is not None else (None, ())
    found = None if task is None else _first_way(task)
    if task is None or found is None:
        return None
    plain = sorted((one for one in hung if one not in special), key=lambda one: (ties.frames[one[0]][one[1]], one))
    pinned = [(one.work, one.option) for one in task.pinned]
    items = [*loose, *plain, *pinned]
    series = [ties.works[work].series for work, _ in items]
    chosen = improve(task, chosen=found, series=series) if is_arranged else found
    places = [
        _placed(ties, one=one, piece=ties.ground.pieces[at.piece], x_mm=at.x_mm)
        for one, at in zip(pinned, task.pinned, strict=True)
    ]
    orders = order_works(task, chosen=chosen, series=series, rank=[work for work, _ in items])
    for at, order in orders.items():
        piece = task.pieces[at]
        edges = place_evenly([task.widths[i] for i in order], length_mm=piece.length_mm)
        places.extend(
            _placed(ties, one=items[i], piece=piece, x_mm=piece.x_mm + edge)
            for i, edge in zip(order, edges, strict=True)
        )
    return places


def _first_way(task: Task) -> tuple[int, ...] | None:
    """Widest gaps where that works out, else whatever the test of a choice would find."""
    wide = None if task.has_ties else spread(task)
    return wide if wide is not None else assign(task, node_limit=PLACING_NODE_LIMIT)


def _placed(ties: Ties, *, one: tuple[int, int], piece: Stretch, x_mm: int) -> Placement:
    """A work with its middle on the line of a piece; an odd millimetre of height goes up."""
    option = ties.works[one[0]].options[one[1]]
    return Placement(
        work_code=ties.works[one[0]].code,
        wall_code=piece.wall_code,
        x_mm=x_mm,
        y_mm=piece.centre_mm - option.height_mm // 2,
        width_mm=option.width_mm,
        height_mm=option.height_mm,
        row=piece.row,
    )

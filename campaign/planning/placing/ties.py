"""What a choice asks of the walls: frames, the pieces pinned works leave for them, and what ties works together."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from campaign.planning.inputs import Pin, PlanRequest
from campaign.planning.placing.wall import Stretch, hanging_stretches

Hung = tuple[tuple[int, int], ...]  # (work, option), in the order of the request
Frame = tuple[int, int]  # (minus the count of stretch heights that are too low, minus the width)


@dataclass(frozen=True, slots=True)
class PinnedFrame:
    """A work at its pinned place, in the piece that has index `piece` before it is cut there."""

    work: int
    option: int
    piece: int
    row: tuple[str, int]
    x_mm: int
    width_mm: int


@dataclass(frozen=True, slots=True)
class Task:
    """
    Frames that are to go into pieces of wall.

    Per frame its width and the pieces it may go to; frames that share a `bond` (not -1) go to one wall; two items
    that are `foes` never hang next to each other in a row. Items are frames by index, then `pinned` ones. `tied`
    says which frames are more than a size.
    """

    pieces: tuple[Stretch, ...]
    widths: tuple[int, ...]
    allowed: tuple[tuple[int, ...], ...]
    bonds: tuple[int, ...] = ()
    foes: Mapping[int, frozenset[int]] = field(default_factory=dict)
    pinned: tuple[PinnedFrame, ...] = ()
    tied: tuple[bool, ...] = ()

    @property
    def has_ties(self) -> bool:
        """Whether any frame is more than a size."""
        return bool(self.foes) or any(self.tied)


@dataclass(frozen=True, slots=True)
class Ground:
    """Pieces of wall sorted by height class, so that a frame's class says where it may go."""

    pieces: tuple[Stretch, ...]
    by_class: tuple[tuple[int, ...], ...]

    @classmethod
    def of(cls, pieces: Sequence[Stretch], *, heights: Sequence[int]) -> "Ground":
        """Parameters: heights, all heights of stretches, rising; a frame's class counts those it is taller than."""
        order = sorted(range(len(pieces)), key=lambda p: (pieces[p].max_height_mm, pieces[p].length_mm, p))
        return cls(
            pieces=tuple(pieces),
            by_class=(*(tuple(p for p in order if pieces[p].max_height_mm >= height) for height in heights), ()),
        )


class Ties:
    """A request's walls, pins and pairs, ready to be asked for one choice after the other."""

    def __init__(self, request: PlanRequest) -> None:
        self.works = request.works
        stretches = hanging_stretches(request)
        self.heights = sorted({piece.max_height_mm for piece in stretches})
        self.ground = Ground.of(stretches, heights=self.heights)
        self.frames: tuple[tuple[Frame, ...], ...] = tuple(
            tuple((-sum(option.height_mm > low for low in self.heights), -option.width_mm) for option in work.options)
            for work in request.works
        )
        place = {work.code: i for i, work in enumerate(request.works)}
        self.pins: dict[int, Pin] = {i: work.pin for i, work in enumerate(request.works) if work.pin}
        self.apart = sorted({tuple(sorted((place[a], place[b]))) for a, b in request.apart if a != b})
        self.together = [tuple(sorted({place[code] for code in group})) for group in request.together]
        self.is_plain = not (self.pins or self.apart or self.together)
        self._grounds: dict[tuple[PinnedFrame, ...], Ground | None] = {(): self.ground}

    def special(self, hung: Hung) -> Hung:
        """Those that hang and are more than a frame in this choice: pinned, or tied to another that hangs."""
        works = {work for work, _ in hung}
        named = works & self.pins.keys()
        for group in (*self.apart, *self.together):
            present = works.intersection(group)
            if len(present) > 1:
                named |= present
        return tuple(one for one in hung if one[0] in named)

    def plain_task(self, frames: Sequence[Frame]) -> Task:
        """The task of frames that are nothing but sizes, sorted as given."""
        by_class = self.ground.by_class
        return Task(
            pieces=self.ground.pieces,
            widths=tuple(-width for _, width in frames),
            allowed=tuple(by_class[-kind] for kind, _ in frames),
        )

    def task(self, special: Hung, *, frames: Sequence[Frame]) -> tuple[Task, Hung] | None:
        """
        The task of special works and plain frames together.

        Returns: the task and, for its first frames, which work each is (the plain frames follow in their order);
            None when pins contradict each other, a set, or the walls.
        """
        pinned = self._pinned(special)
        ground = self._ground(pinned) if pinned is not None else None
        if pinned is None or ground is None:
            return None
        held = {one.work for one in pinned}
        loose = tuple(sorted((one for one in special if one[0] not in held), key=lambda one: (self._frame(one), one)))
        bonds = self._bonds(special)
        bound_to = self._walls_of_bonds(bonds)
        if bound_to is None:
            return None
        allowed = []
        for work, option in loose:
            pieces = ground.by_class[-self.frames[work][option][0]]
            wall = bound_to.get(bonds[work])
            allowed.append(tuple(p for p in pieces if wall is None or ground.pieces[p].wall_code == wall))
        plain = self.plain_task(frames)
        items = {work: i for i, (work, _) in enumerate(loose)}
        count = len(loose) + len(frames)
        items.update({one.work: count + i for i, one in enumerate(pinned)})
        task = Task(
            pieces=ground.pieces,
            widths=(*(-self._frame(one)[1] for one in loose), *plain.widths),
            allowed=(*allowed, *(ground.by_class[-kind] for kind, _ in frames)),
            bonds=(*(bonds[work] if bonds[work] not in bound_to else -1 for work, _ in loose), *[-1] * len(frames)),
            foes=self._foes(items),
            pinned=pinned,
            tied=(*[True] * len(loose), *[False] * len(frames)),
        )
        return task, loose

    def _frame(self, one: tuple[int, int]) -> Frame:
        return self.frames[one[0]][one[1]]

    def _pinned(self, special: Hung) -> tuple[PinnedFrame, ...] | None:
        """The works at pinned places, None when one has no stretch that takes it there."""
        found = []
        for work, option in special:
            pin = self.pins.get(work)
            if pin is None or pin.middle_x_mm is None:
                continue
            kind, negative = self.frames[work][option]
            left = pin.middle_x_mm - -negative // 2
            taking = [
                p
                for p in self.ground.by_class[-kind]
                if _takes_at(self.ground.pieces[p], pin=pin, left_mm=left, width_mm=-negative)
            ]
            if not taking:
                return None
            found.append(PinnedFrame(work, option, taking[0], (pin.wall_code, pin.row), left, -negative))
        return tuple(sorted(found, key=lambda one: (one.piece, one.x_mm, one.work)))

    def _ground(self, pinned: tuple[PinnedFrame, ...]) -> Ground | None:
        if pinned not in self._grounds:
            pieces: list[Stretch] | None = []
            for index, piece in enumerate(self.ground.pieces):
                here = [one for one in pinned if one.piece == index]
                rest = list(_cut(piece, pinned=here))
                # Between two pinned works, and from one to an end, the gap is kept also where nothing else hangs.
                if here and any(part.length_mm < part.gap_mm for part in rest):
                    pieces = None
                    break
                pieces = [*(pieces or []), *rest]
            self._grounds[pinned] = None if pieces is None else Ground.of(pieces, heights=self.heights)
        return self._grounds[pinned]

    def _bonds(self, special: Hung) -> dict[int, int]:
        """Per special work the least work it must share a wall with; -1 when it is free and on no pinned wall."""
        root = {work: work for work, _ in special}
        for group in self.together:
            present = [work for work in group if work in root]
            for work in present[1:]:
                one, other = sorted((root[present[0]], root[work]))
                root = {key: one if value == other else value for key, value in root.items()}
        shared = list(root.values())
        return {work: least if shared.count(least) > 1 or work in self.pins else -1 for work, least in root.items()}

    def _walls_of_bonds(self, bonds: Mapping[int, int]) -> dict[int, str] | None:
        """The walls that pins lay down for bonds, None when two differ."""
        walls: dict[int, str] = {}
        for work, bond in bonds.items():
            pin = self.pins.get(work)
            if pin is not None and walls.setdefault(bond, pin.wall_code) != pin.wall_code:
                return None
        return walls

    def _foes(self, items: Mapping[int, int]) -> dict[int, frozenset[int]]:
        foes: dict[int, frozenset[int]] = {}
        for one, other in self.apart:
            if one in items and other in items:
                a, b = items[one], items[other]
                foes[a] = foes.get(a, frozenset()) | {b}
                foes[b] = foes.get(b, frozenset()) | {a}
        return foes


def _takes_at(piece: Stretch, *, pin: Pin, left_mm: int, width_mm: int) -> bool:
    return (
        (piece.wall_code, piece.row) == (pin.wall_code, pin.row)
        and piece.x_mm + piece.gap_mm <= left_mm
        and left_mm + width_mm + piece.gap_mm <= piece.end_mm
    )


def _cut(piece: Stretch, *, pinned: Iterable[PinnedFrame]) -> Iterator[Stretch]:
    """What pinned works leave of a piece, left to right; a length below nothing where two overlap."""
    at = piece.x_mm
    for one in pinned:
        yield replace(piece, x_mm=at, length_mm=one.x_mm - at)
        at = one.x_mm + one.width_mm
    yield replace(piece, x_mm=at, length_mm=piece.end_mm - at)

"""The test whether picks hang, within a number of long searches; the walls themselves are looked at in places.py."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from campaign.planning.arrays import IntArray
from campaign.planning.choosing.model import Model
from campaign.planning.placing.places import HangingTest


@dataclass(slots=True)
class Hangs:
    """
    Whether picks of a model hang: by quick ways first, then by at most `searches` searches; None is undecided.

    After `tests` of them all are undecided. Which picks are tested depends on the order they are asked in, and so
    only on the request.
    """

    model: Model
    test: HangingTest
    tests: int
    searches: int
    _ways: tuple[tuple[int, tuple[int, ...]], ...] = field(init=False)

    def __post_init__(self) -> None:
        self._ways = tuple((place, (*kept, -1)) for place, kept in self.model.field.members)

    @property
    def is_certain(self) -> bool:
        """Whether the limits on lengths say everything: one stretch, and works that are nothing but sizes."""
        return len(self.model.field.stretches) == 1 and self.test.is_plain

    def __call__(self, picks: Sequence[int]) -> bool | None:
        """True, False, or None when that was not found out."""
        if self.tests <= 0:
            return None
        self.tests -= 1
        choice = self._choice(picks)
        hangs = self.test.hangs_at_once(choice)
        if hangs is None and self.searches > 0:
            self.searches -= 1
            hangs = self.test.hangs(choice)
        return hangs

    def of_all(self, picks: IntArray) -> list[bool | None]:
        """The same answers for picks (N, n), most of them found at once."""
        at_once = self.test.fit_first(self.model.field.choices(picks)).tolist()
        answers: list[bool | None] = []
        for one, fits in zip(picks.tolist(), at_once, strict=True):
            if fits and self.tests > 0:
                self.tests -= 1
                answers.append(True)
            else:
                answers.append(self(one))
        return answers

    def _choice(self, picks: Sequence[int]) -> list[int]:
        """As the field says it, in the time that a test in a loop has."""
        choice = [-1] * len(self.model.field.request.works)
        for (place, ways), picked in zip(self._ways, picks, strict=True):
            choice[place] = ways[picked]
        return choice

    def taken_down(self, picks: Sequence[int]) -> list[int] | None:
        """
        The same picks with works taken down, those worth least for their width first, until they hang.

        How many is found by halving: fewer works hang where more do, but for rare luck of the quick ways.
        """
        rows = self.model.field.rows()
        going = sorted(
            (i for i, pick in enumerate(picks) if pick < len(rows[i]) and self.model.may_rest(i)),
            key=lambda i: (rows[i][picks[i]].worth / rows[i][picks[i]].width_mm, i),
        )
        best: list[int] | None = None
        few, most = 1, len(going)
        while few <= most:
            count = (few + most) // 2
            kept = list(picks)
            for i in going[:count]:
                kept[i] = len(rows[i])
            if self.test.hangs_at_once(self._choice(kept)):
                best, most = kept, count - 1
            else:
                few = count + 1
        return best

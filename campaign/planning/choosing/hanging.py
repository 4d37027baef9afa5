"""The test whether picks hang, within a number of long searches; the walls themselves are looked at in places.py."""

from collections.abc import Sequence
from dataclasses import dataclass

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

    @property
    def is_certain(self) -> bool:
        """Whether the limits on lengths say everything: one stretch, and works that are nothing but sizes."""
        return len(self.model.field.stretches) == 1 and self.test.is_plain

    def __call__(self, picks: Sequence[int]) -> bool | None:
        """True, False, or None when that was not found out."""
        if self.tests <= 0:
            return None
        self.tests -= 1
        choice = self.model.field.choice(picks)
        hangs = self.test.hangs_at_once(choice)
        if hangs is None and self.searches > 0:
            self.searches -= 1
            hangs = self.test.hangs(choice)
        return hangs

    def taken_down(self, picks: Sequence[int]) -> list[int] | None:
        """The same picks with works taken down, those worth least for their width first, until they hang."""
        kept = list(picks)
        rows = self.model.field.rows()
        going = sorted(
            (i for i, pick in enumerate(picks) if pick < len(rows[i]) and self.model.may_rest(i)),
            key=lambda i: (rows[i][picks[i]].worth / rows[i][picks[i]].width_mm, i),
        )
        for i in going:
            kept[i] = len(rows[i])
            if self.test.hangs_at_once(self.model.field.choice(kept)):
                return kept
        return None

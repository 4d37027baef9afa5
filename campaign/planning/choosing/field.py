"""The options that can hang at all, work by work, as the engine numbers them; which ones do is decided elsewhere."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from campaign.planning.arrays import IntArray
from campaign.planning.inputs import Option, PlanRequest, WorkOptions
from campaign.planning.placing.wall import Stretch, hanging_stretches, takes


@dataclass(frozen=True, slots=True)
class Field:
    """Per work that can hang its place in the request and its options' indices; the stretches they compete for."""

    members: tuple[tuple[int, tuple[int, ...]], ...]
    request: PlanRequest
    stretches: tuple[Stretch, ...]

    @classmethod
    def of(cls, request: PlanRequest) -> "Field":
        """The options that some stretch, the printer and the days allow, without those that another beats."""
        stretches = hanging_stretches(request)
        judge = _Judge(request=request, stretches=stretches)
        members = []
        for place, work in enumerate(request.works):
            usable = [i for i, option in enumerate(work.options) if judge.can_hang(option, work=work)]
            kept = tuple(i for i in usable if not judge.is_beaten(i, usable=usable, work=work))
            if kept:
                members.append((place, kept))
        return cls(members=tuple(members), request=request, stretches=stretches)

    @property
    def is_hopeless(self) -> bool:
        """Whether a work that must hang cannot, so that nothing does."""
        able = {place for place, _ in self.members}
        return not able or any(work.must_hang and i not in able for i, work in enumerate(self.request.works))

    def options(self, member: int) -> list[Option]:
        """The options of one work that are in the running."""
        place, kept = self.members[member]
        return [self.request.works[place].options[i] for i in kept]

    def rows(self) -> list[list[Option]]:
        """The options of every work that can hang."""
        return [self.options(member) for member in range(len(self.members))]

    def picks(self, choices: Sequence[Sequence[int]]) -> IntArray:
        """The reverse of `choice`, of many choices; those with an option that is not in the running are left out."""
        rows = np.array(choices, dtype=np.int64).reshape(len(choices), len(self.request.works))
        out = [i for i in range(rows.shape[1]) if i not in {place for place, _ in self.members}]
        known = (rows[:, out] < 0).all(axis=1)
        picks = np.zeros((len(rows), len(self.members)), dtype=np.int64)
        for member, (place, kept) in enumerate(self.members):
            # What is not kept is -1; no option, the last of the table, is the last pick.
            table = np.full(len(self.request.works[place].options) + 1, -1, dtype=np.int64)
            table[[*kept, -1]] = np.arange(len(kept) + 1)
            picks[:, member] = table[rows[:, place]]
        return picks[known & (picks >= 0).all(axis=1)]

    def choice(self, picks: Sequence[int]) -> list[int]:
        """An option per work of the request, -1 where it does not hang; the last index of each group is nothing."""
        choice = [-1] * len(self.request.works)
        for (place, kept), picked in zip(self.members, picks, strict=True):
            choice[place] = kept[picked] if picked < len(kept) else -1
        return choice

    def choices(self, picks: IntArray) -> IntArray:
        """As `choice`, of many picks (N, n) at once."""
        choices = np.full((len(picks), len(self.request.works)), -1, dtype=np.int64)
        for member, (place, kept) in enumerate(self.members):
            choices[:, place] = np.array([*kept, -1])[picks[:, member]]
        return choices


@dataclass(frozen=True, slots=True)
class _Judge:
    """What one option by itself is worth looking at for."""

    request: PlanRequest
    stretches: tuple[Stretch, ...]

    def can_hang(self, option: Option, *, work: WorkOptions) -> bool:
        request = self.request
        return (
            # What is worth nothing hangs only where it must, or between two that must be apart.
            (option.worth > 0 or work.must_hang or bool(request.apart))
            and option.printer_seconds <= request.printer_seconds
            and (request.lead_days is None or option.lead_days <= request.lead_days)
            and any(takes(stretch, option=option) for stretch in self.stretches)
        )

    def is_beaten(self, index: int, *, usable: Sequence[int], work: WorkOptions) -> bool:
        """Whether another option of the work is at least as good in everything, and cheaper or worth more."""
        mine = work.options[index]
        return any(
            (other.cost_minor < mine.cost_minor or other.worth > mine.worth)
            and self._replaces(other, mine)
            and self._same_finish(other, mine)
            for other in (work.options[i] for i in usable if i != index)
        )

    def _same_finish(self, other: Option, mine: Option) -> bool:
        """Whether nothing depends on which of the two finishes it is."""
        request = self.request
        free = not request.finishes and request.most_finishes is None and not request.series_share_finish
        return free or other.finish_code == mine.finish_code

    @staticmethod
    def _replaces(other: Option, mine: Option) -> bool:
        needed = {need.supply_code: 0 for need in (*other.needs, *mine.needs)}
        for need in mine.needs:
            needed[need.supply_code] += need.quantity_micro
        for need in other.needs:
            needed[need.supply_code] -= need.quantity_micro
        return (
            other.cost_minor <= mine.cost_minor
            and other.worth >= mine.worth
            and other.width_mm <= mine.width_mm
            and other.height_mm <= mine.height_mm
            and other.printer_seconds <= mine.printer_seconds
            and all(left >= 0 for left in needed.values())
        )

"""A whole show in numbers: groups of options, what they use, what the uses cost; no search here."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from dataclasses import field as field_of

import numpy as np

from campaign.planning.arrays import BoolArray, IntArray
from campaign.planning.choosing.field import Field
from campaign.planning.choosing.labels import Mode, Stage
from campaign.planning.choosing.multipliers import (
    Group,
)
from campaign.planning.costing.curves import Curve, curve_of
from campaign.planning.errors import InvalidRequest
from campaign.planning.inputs import Option, PlanRequest
from campaign.planning.placing.assign import reachable_mm

MOST_FINISHES = 62
_ENDLESS = 2**61


@dataclass(frozen=True, slots=True)
class Resource:
    """
    Something of which every option uses a whole number: uses per group and option, nothing last.

    `capacity` is a hard limit. Else the use costs money: by a `curve`, or, for a finish (`mark`), its works' own
    costs and at least `least_minor`.
    """

    name: str
    uses: tuple[tuple[int, ...], ...]
    capacity: int | None = None
    curve: Curve | None = None
    mark: int = 0
    least_minor: int = 0

    @property
    def most(self) -> int:
        """The largest use there can be."""
        return sum(max(row) for row in self.uses)


@dataclass(frozen=True, slots=True)
class Rules:
    """What holds for a choice as a whole: show cost, set-up by finish mark, most finishes, what they cost by use."""

    resources: tuple[Resource, ...]
    show_minor: int
    setups: tuple[tuple[int, int], ...]
    most_finishes: int | None

    def costs(self, own: IntArray, *, uses: IntArray, marks: IntArray) -> IntArray:
        """Whole costs (N,) from own costs (N,), uses (N, m + e) and finish marks (N,)."""
        total = own + self.show_minor
        for mark, setup in self.setups:
            total = total + np.where(marks & mark, setup, 0)
        for column, resource in enumerate(self.resources):
            if resource.curve is not None:
                total = total + resource.curve.cost(uses[:, column])
            elif resource.mark:
                total = total + np.where(marks & resource.mark, np.maximum(uses[:, column], resource.least_minor), 0)
        return np.asarray(total)

    def allows(self, marks: IntArray) -> BoolArray:
        """Whether choices may be in these finishes, whatever shape the marks are in."""
        if self.most_finishes is None:
            return np.ones(marks.shape, dtype=bool)
        return np.asarray(np.bitwise_count(marks) <= self.most_finishes)


@dataclass(frozen=True, slots=True)
class Tables:
    """The groups side by side, padded with nothings: costs, worths, marks (n, O); uses (n, O, m)."""

    costs: IntArray
    worths: IntArray
    marks: IntArray
    uses: IntArray

    @classmethod
    def of(cls, groups: Sequence[Group]) -> "Tables":
        """Parameters: groups, one or more."""
        shape = len(groups), max(len(group.costs) for group in groups)
        costs, worths, marks = (np.zeros(shape, dtype=np.int64) for _ in range(3))
        uses = np.zeros((*shape, groups[0].uses.shape[1]), dtype=np.int64)
        for i, group in enumerate(groups):
            count = len(group.costs)
            costs[i, :count], worths[i, :count] = group.costs, group.worths
            marks[i, :count], uses[i, :count] = group.marks, group.uses
        return cls(costs, worths, marks, uses)


@dataclass(frozen=True, slots=True)
class Model:
    """
    A request in numbers.

    Parameters: groups, one per member of the field, nothing last; stages, the series that share a finish together;
        charged, the marks of finishes that cost set-up or a least charge; marks, every finish code's mark.
    """

    field: Field
    groups: tuple[Group, ...]
    stages: tuple[Stage, ...]
    rules: Rules
    marks: dict[str, int]
    charged: int
    tables: Tables
    offers: dict[tuple[int, tuple[int, ...]], "Offer"] = field_of(default_factory=dict)

    @classmethod
    def of(cls, field: Field) -> "Model":
        """Raises: InvalidRequest when more than 62 finishes are on offer."""
        rows, request = field.rows(), field.request
        codes = sorted({option.finish_code for row in rows for option in row})
        if len(codes) > MOST_FINISHES:
            raise InvalidRequest(field="finishes", found=len(codes), expected=f"{MOST_FINISHES} or fewer on offer")
        marks = {code: 1 << place for place, code in enumerate(codes)}
        resources = (*_hard(field, rows=rows), *_supplied(request, rows=rows), *_least(request, rows=rows, marks=marks))
        terms = [one for one in request.finishes if one.code in marks]
        setups = tuple((marks[one.code], one.setup_minor) for one in terms if one.setup_minor)
        rules = Rules(resources, request.show_cost_minor, setups, request.most_finishes)
        groups = _groups(rows, resources=resources, marks=marks)
        charged = sum(marks[one.code] for one in terms if one.setup_minor or one.least_minor)
        return cls(field, groups, _stages(field, rows=rows), rules, marks, charged, Tables.of(groups))

    @property
    def is_plain(self) -> bool:
        """Whether costs add up and no rule ties works together, walls apart."""
        rules, works = self.rules, self.field.request.works
        costs = any(resource.capacity is None for resource in rules.resources) or self.charged
        alone = all(len(stage) == 1 for stage in self.stages) and not any(work.must_hang for work in works)
        return not costs and alone and rules.most_finishes is None

    @property
    def limits(self) -> IntArray:
        """The most of every resource (m,) that a choice may use; endless where more only costs more."""
        return np.array([_or_endless(resource.capacity) for resource in self.rules.resources], dtype=np.int64)

    def may_rest(self, member: int) -> bool:
        """Whether a work need not hang."""
        return not self.field.request.works[self.field.members[member][0]].must_hang

    def offer(self, barred: int, modes: tuple[int, ...]) -> "Offer":
        """What may be taken when the finishes with these marks are not on offer, and stages are in these modes."""
        if (barred, modes) not in self.offers:
            self.offers[barred, modes] = Offer.of(self, barred=barred, modes=modes)
        return self.offers[barred, modes]

    def costs_of(self, choices: IntArray) -> tuple[IntArray, IntArray, BoolArray]:
        """Whole costs, worths and whether the limits are kept (N,), of choices (N, n)."""
        tables, works = self.tables, np.arange(len(self.groups))
        own, worths = tables.costs[works, choices].sum(axis=1), tables.worths[works, choices].sum(axis=1)
        marks, uses = self.marks_of(choices), tables.uses[works, choices].sum(axis=1)
        kept = (uses <= self.limits).all(axis=1) & self.rules.allows(marks)
        return self.rules.costs(own, uses=uses, marks=marks), worths, kept

    def marks_of(self, choices: IntArray) -> IntArray:
        """The marks (N,) of choices (N, n)."""
        return np.asarray(np.bitwise_or.reduce(self.tables.marks[np.arange(len(self.groups)), choices], axis=1))


@dataclass(frozen=True, slots=True)
class Offer:
    """
    The stages with some finishes left out, whether an option (n, O) is on offer at all, padded with False, the marks
    that are, and the least and the most (m,) of every resource that a choice can use.

    A stage without modes means that there is no choice at all.
    """

    stages: tuple[Stage, ...]
    options: BoolArray
    marks: int
    least: IntArray
    most: IntArray

    @classmethod
    def of(cls, model: Model, *, barred: int, modes: tuple[int, ...]) -> "Offer":
        """Parameters: barred, marks; modes, per stage the only one it may be in, -1 for any."""
        groups = model.groups
        options = np.zeros((len(groups), max(len(group.costs) for group in groups)), dtype=bool)
        stages = []
        for stage, chosen in zip(model.stages, modes, strict=True):
            left = [
                _without(mode, groups=groups, barred=barred) for mode in (stage if chosen < 0 else (stage[chosen],))
            ]
            stages.append(tuple(mode for mode in left if all(len(picks) for picks in mode.picks)))
            for mode in stages[-1]:
                for member, picks in zip(mode.members, mode.picks, strict=True):
                    options[member, picks] = True
        marks, columns = 0, len(model.rules.resources)
        least, most = np.zeros(columns, dtype=np.int64), np.zeros(columns, dtype=np.int64)
        for group, row in zip(groups, options, strict=True):
            offered = row[: len(group.costs)]
            if offered.any():
                marks |= int(np.bitwise_or.reduce(group.marks[offered]))
                least += group.uses[offered].min(axis=0)
                most += group.uses[offered].max(axis=0)
        return cls(tuple(stages), options, marks, least, most)

    @property
    def is_empty(self) -> bool:
        """Whether there is no choice at all."""
        return not all(self.stages)


def _without(mode: Mode, *, groups: Sequence[Group], barred: int) -> Mode:
    kept = [picks[(groups[i].marks[picks] & barred) == 0] for i, picks in zip(mode.members, mode.picks, strict=True)]
    return Mode(mode.members, tuple(kept))


def _or_endless(capacity: int | None) -> int:
    return _ENDLESS if capacity is None else capacity


def _hard(field: Field, *, rows: Sequence[Sequence[Option]]) -> list[Resource]:
    """Lengths of wall and printer time, where they can bind."""
    printing = Resource(
        "printer", _uses(rows, lambda option: option.printer_seconds), capacity=field.request.printer_seconds
    )
    return [one for one in (*wall_limits(field, rows=rows), printing) if one.most > _or_endless(one.capacity)]


def _uses(rows: Sequence[Sequence[Option]], use: Callable[[Option], int]) -> tuple[tuple[int, ...], ...]:
    return tuple((*(use(option) for option in row), 0) for row in rows)


def wall_limits(field: Field, *, rows: Sequence[Sequence[Option]]) -> list[Resource]:
    """For every height that some stretches do not have, the length that taller works may take together."""
    gap = min((stretch.gap_mm for stretch in field.stretches), default=0)
    limits = []
    for floor_mm in [0, *sorted({stretch.max_height_mm for stretch in field.stretches})[:-1]]:
        capacity = 0
        for stretch in field.stretches:
            if stretch.max_height_mm > floor_mm:
                fitting = [o for row in rows for o in row if floor_mm < o.height_mm <= stretch.max_height_mm]
                takes = [option.width_mm + gap for option in fitting]
                capacity += reachable_mm(stretch.length_mm - stretch.gap_mm, takes_mm=takes)
        uses = tuple((*(o.width_mm + gap if o.height_mm > floor_mm else 0 for o in row), 0) for row in rows)
        limits.append(Resource(f"wall above {floor_mm}", uses, capacity=capacity))
    return limits


def _supplied(request: PlanRequest, *, rows: Sequence[Sequence[Option]]) -> list[Resource]:
    """Supplies of which more can be needed than is on the shelf; a hard limit where nothing can be bought."""
    found = []
    for supply in request.supplies:
        uses = tuple(
            (*(sum(n.quantity_micro for n in o.needs if n.supply_code == supply.code) for o in row), 0) for row in rows
        )
        plain = Resource(f"supply {supply.code}", uses)
        if plain.most > supply.shelf_micro:
            curve = curve_of(supply, most_micro=plain.most)
            capacity = supply.shelf_micro if curve is None else None
            found.append(Resource(plain.name, uses, capacity=capacity, curve=curve))
    return found


def _least(request: PlanRequest, *, rows: Sequence[Sequence[Option]], marks: dict[str, int]) -> list[Resource]:
    found = []
    for terms in request.finishes:
        if terms.least_minor and terms.code in marks:
            uses = tuple((*(o.cost_minor if o.finish_code == terms.code else 0 for o in row), 0) for row in rows)
            found.append(Resource(f"finish {terms.code}", uses, mark=marks[terms.code], least_minor=terms.least_minor))
    return found


def _groups(
    rows: Sequence[Sequence[Option]], *, resources: Sequence[Resource], marks: dict[str, int]
) -> tuple[Group, ...]:
    """Own costs of a finish with a least charge are a use, not a cost: what they come to is known at the end."""
    by_use = sum(resource.mark for resource in resources)
    groups = []
    for i, row in enumerate(rows):
        uses = np.array([resource.uses[i] for resource in resources], dtype=np.int64)
        groups.append(
            Group(
                costs=_column([0 if marks[o.finish_code] & by_use else o.cost_minor for o in row]),
                worths=_column([option.worth for option in row]),
                uses=np.ascontiguousarray(uses.reshape(len(resources), len(row) + 1).T),
                forms=np.zeros((len(row) + 1, 0), dtype=np.int64),
                marks=_column([marks[option.finish_code] for option in row]),
            )
        )
    return tuple(groups)


def _column(values: Sequence[int]) -> IntArray:
    return np.array([*values, 0], dtype=np.int64)


def _stages(field: Field, *, rows: Sequence[Sequence[Option]]) -> tuple[Stage, ...]:
    """A work by itself, or the works of a series that share a finish, one mode per finish."""
    request = field.request
    series: dict[str, list[int]] = {}
    for i, (place, _) in enumerate(field.members):
        name = request.works[place].series if request.series_share_finish else ""
        series.setdefault(name or f"\n{i}", []).append(i)
    stages = []
    for members in series.values():
        codes = sorted({option.finish_code for i in members for option in rows[i]})
        modes = [tuple(_picks(field, i=i, row=rows[i], code=code) for i in members) for code in codes]
        if len(members) == 1 or len(codes) == 1:
            modes = [tuple(_picks(field, i=i, row=rows[i], code=None) for i in members)]
        stages.append(tuple(Mode(tuple(members), picks) for picks in modes if all(len(of) for of in picks)))
    return tuple(stages)


def _picks(field: Field, *, i: int, row: Sequence[Option], code: str | None) -> IntArray:
    """Which options a work may hang in, in one finish or any; nothing too unless it must hang."""
    picks = [k for k, option in enumerate(row) if code is None or option.finish_code == code]
    must = field.request.works[field.members[i][0]].must_hang
    return np.array(picks if must else [*picks, len(row)], dtype=np.int64)

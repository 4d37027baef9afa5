"""What a staircase is made from: walls, costed options, supplies and rules; frozen values in whole units."""

from dataclasses import dataclass

from campaign.planning.errors import InvalidRequest, require
from campaign.planning.results import CostLine


@dataclass(frozen=True, slots=True)
class Pin:
    """Where a work must hang if it hangs: on this wall, and with `middle_x_mm` its middle there, in this row."""

    wall_code: str
    middle_x_mm: int | None = None
    row: int = 0


@dataclass(frozen=True, slots=True)
class BlockedArea:
    """A door, window, switch or radiator: lower left corner from the wall's left edge and from the floor."""

    name: str
    x_mm: int
    y_mm: int
    width_mm: int
    height_mm: int


@dataclass(frozen=True, slots=True)
class WallSpec:
    """
    One wall: works hang with their middle on a row's line, `end_margin_mm` kept free at both ends.

    One row: its line is `centre_mm` above the floor. Two rows: both lie around `centre_mm`, each for works up to
    `row_height_mm`, with `row_gap_mm` between them. `min_gap_mm` takes the place of the show's, where given.
    """

    code: str
    name: str
    width_mm: int
    height_mm: int
    centre_mm: int
    end_margin_mm: int
    blocked: tuple[BlockedArea, ...] = ()
    rows: int = 1
    row_height_mm: int = 0
    row_gap_mm: int = 0
    min_gap_mm: int | None = None

    def __post_init__(self) -> None:
        for field in ("width_mm", "height_mm"):
            require(field=field, found=getattr(self, field), least=1)
        for field in ("end_margin_mm", "row_gap_mm"):
            require(field=field, found=getattr(self, field), least=0)
        if not 0 < self.centre_mm < self.height_mm:
            raise InvalidRequest(field="centre_mm", found=self.centre_mm, expected="a height on the wall")
        if self.rows not in (1, 2):
            raise InvalidRequest(field="rows", found=self.rows, expected="1 or 2")
        if self.rows == 2:
            require(field="row_height_mm", found=self.row_height_mm, least=1)

    @property
    def row_centres_mm(self) -> tuple[int, ...]:
        """The lines the works hang on, upper row first; an odd millimetre between two rows goes to the upper one."""
        if self.rows == 1:
            return (self.centre_mm,)
        apart = self.row_height_mm + self.row_gap_mm
        return (self.centre_mm + (apart + 1) // 2, self.centre_mm - apart // 2)

    def gap_mm(self, *, otherwise_mm: int) -> int:
        """The smallest gap on this wall."""
        return otherwise_mm if self.min_gap_mm is None else self.min_gap_mm


@dataclass(frozen=True, slots=True)
class Pack:
    """An offer of a supply: `quantity_micro` millionths of a unit for `price_minor`, at this price from a count on."""

    quantity_micro: int
    price_minor: int
    from_count: int = 1

    def __post_init__(self) -> None:
        for field in ("quantity_micro", "from_count"):
            require(field=field, found=getattr(self, field), least=1)
        require(field="price_minor", found=self.price_minor, least=0)


@dataclass(frozen=True, slots=True)
class Supply:
    """
    A material counted over the whole show: first what is on the shelf, then whole packs.

    With no `packs` and a price, what the shelf does not hold is bought to measure: `price_minor` for
    `per_micro`, rounded up once for the show. `price_minor` None: nothing can be bought beyond the shelf.
    """

    code: str
    name: str
    unit: str
    shelf_micro: int = 0
    packs: tuple[Pack, ...] = ()
    price_minor: int | None = None
    per_micro: int = 1_000_000

    def __post_init__(self) -> None:
        require(field="shelf_micro", found=self.shelf_micro, least=0)
        require(field="per_micro", found=self.per_micro, least=1)


@dataclass(frozen=True, slots=True)
class Need:
    """What one option takes of a supply, waste included, in millionths of a unit."""

    supply_code: str
    quantity_micro: int

    def __post_init__(self) -> None:
        require(field="quantity_micro", found=self.quantity_micro, least=1)


@dataclass(frozen=True, slots=True)
class FinishTerms:
    """What a finish costs beside its works: `setup_minor` once, and at least `least_minor` for their own costs."""

    code: str
    name: str
    setup_minor: int = 0
    least_minor: int = 0

    def __post_init__(self) -> None:
        for field in ("setup_minor", "least_minor"):
            require(field=field, found=getattr(self, field), least=0)


@dataclass(frozen=True, slots=True)
class Option:
    """
    One work in one size and finish, costed; outer and print sizes in millimetres.

    `cost_minor` is what it costs by itself; `needs` is what it takes of the supplies, which are bought for the show.
    """

    work_code: str
    size_code: str
    finish_code: str
    width_mm: int
    height_mm: int
    print_width_mm: int
    print_height_mm: int
    cost_minor: int
    cost_lines: tuple[CostLine, ...]
    mass_g: int
    printer_seconds: int
    worth: int
    needs: tuple[Need, ...] = ()
    lead_days: int = 0
    depth_mm: int = 0

    def __post_init__(self) -> None:
        for field in ("width_mm", "height_mm"):
            require(field=field, found=getattr(self, field), least=1)
        for field in ("cost_minor", "mass_g", "printer_seconds", "worth", "lead_days", "depth_mm"):
            require(field=field, found=getattr(self, field), least=0)


@dataclass(frozen=True, slots=True)
class WorkOptions:
    """A work with every way it could hang; an option's index here is what a choice stores."""

    code: str
    title: str
    options: tuple[Option, ...]
    series: str = ""
    must_hang: bool = False
    pin: Pin | None = None


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """
    Everything a staircase depends on.

    `show_cost_minor` is paid once if anything hangs at all. `min_gap_mm` is kept between neighbours and to both
    ends of a stretch; `printer_seconds` is what the printer can still do for the show before hanging day, `lead_days`
    how many working days the finishing may take. A choice is feasible when

    - its purchases are within the money: show cost, the options' own costs, set-up and least charges of the finishes
      used, and the supplies bought after the shelf;
    - every work that hangs has a place; a pinned one hangs where its pin says;
    - no option takes more than `lead_days`, and printer time is within `printer_seconds`;
    - every work with `must_hang` hangs, or nothing does;
    - with `series_share_finish`, works of a series that hang are in one finish; at most `most_finishes` are used;
    - the two works of a pair in `apart` never hang with no other work of their row between them on one wall;
    - the works of a set in `together` that hang all hang on one wall.
    """

    works: tuple[WorkOptions, ...]
    walls: tuple[WallSpec, ...]
    show_cost_minor: int
    min_gap_mm: int
    printer_seconds: int
    supplies: tuple[Supply, ...] = ()
    finishes: tuple[FinishTerms, ...] = ()
    lead_days: int | None = None
    most_finishes: int | None = None
    series_share_finish: bool = False
    apart: tuple[tuple[str, str], ...] = ()
    together: tuple[tuple[str, ...], ...] = ()

    def __post_init__(self) -> None:
        for field in ("show_cost_minor", "min_gap_mm", "printer_seconds"):
            require(field=field, found=getattr(self, field), least=0)
        for field in ("works", "walls", "supplies", "finishes"):
            codes = [one.code for one in getattr(self, field)]
            if len(set(codes)) != len(codes):
                raise InvalidRequest(field=field, found=codes, expected="codes that differ from each other")
        self._check_names()

    def _check_names(self) -> None:
        """Every code that is referred to is there."""
        works, walls, supplies = ({one.code for one in some} for some in (self.works, self.walls, self.supplies))
        named = {code for group in (*self.apart, *self.together) for code in group}
        pinned = {work.pin.wall_code for work in self.works if work.pin}
        needed = {need.supply_code for work in self.works for option in work.options for need in option.needs}
        for field, missing in (
            ("apart and together", named - works),
            ("pin", pinned - walls),
            ("needs", needed - supplies),
        ):
            if missing:
                raise InvalidRequest(field=field, found=sorted(missing), expected="codes of this request")

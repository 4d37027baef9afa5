"""What a show folder says, as frozen rows in our own units. Not for reading files: that is `folder.py`."""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path


class Outcome(StrEnum):
    """What became of one row of a file."""

    OK = "ok"
    REFUSED = "refused"
    SKIPPED = "skipped"  # blank or comment rows, files that are no table of ours
    NOTED = "noted"  # read, but worth a look: an unknown column, a work no wall can take


@dataclass(frozen=True, slots=True)
class Verdict:
    """
    One row of one file and what became of it.

    file: name inside the folder, a workbook's sheet after " › " ("show.xlsx › works").
    row: as the spreadsheet (or the text editor, for TOML) numbers it, 1-based; None = the whole file.
    sentence: for refused and noted rows what would do; for ok rows what was read; for skipped rows why.
    column, found: the heading as the file spells it and the cell as it stands, "" where none applies.
    """

    file: str
    row: int | None
    outcome: Outcome
    sentence: str
    column: str = ""
    found: str = ""

    @property
    def line(self) -> str:
        """The verdict as one line of plain text: place, outcome, what was found, what would do."""
        place = self.file if self.row is None else f"{self.file}, row {self.row}"
        column = f", column {self.column}" if self.column else ""
        found = f" found “{self.found}”:" if self.found else ""
        return f"{place}{column}: {self.outcome}:{found} {self.sentence}"


@dataclass(frozen=True, slots=True)
class SettingsRow:
    """The settings file. Instants are aware, in `time_zone`; dates are days in the same zone."""

    code: str  # slug, used in the address of the public page
    title: str
    artist: str
    contact: str  # name of the artist's public contact, the artist by default
    email: str
    statement: str  # Markdown as the artist wrote it
    cautions: tuple[str, ...]
    locale: str  # e.g. "en" or "de_DE"
    length_unit: str  # mm, cm or in: how lengths are shown, and what a bare number in the tables means
    currency: str  # ISO 4217
    country: str  # ISO 3166-1 alpha-2, where the artist posts from
    time_zone: str  # IANA name
    venue_name: str
    venue_address: str  # lines separated by "\n"
    studio_address: str  # the sender on parcels; lines separated by "\n"
    hang_on: date
    opening_at: datetime
    last_day_on: date
    opens_at: datetime  # the campaign
    closes_at: datetime
    cancel_until_on: date  # last day on which a backer may cancel
    posting_by_on: date  # day by which every parcel is promised to be posted
    hold_days: int
    reminder_days: int  # days before a hold lapses
    commission_bp: int  # the gallery's share of wall sales
    set_aside_bp: int  # of money received, for tax and fees
    contingency_bp: int
    min_gap_mm: int
    centre_mm: int
    printer_seconds: int
    printer_seconds_per_m2: int
    iban: str  # compact, upper case; "" = no transfers
    bic: str
    account_holder: str
    cheque_payee: str  # "" = no cheques
    cash_note: str  # "" = no cash


@dataclass(frozen=True, slots=True)
class WallRow:
    """centre_mm: height of the line of centres above the floor (the show's own where the wall says none)."""

    code: str
    name: str
    width_mm: int
    height_mm: int
    centre_mm: int
    end_margin_mm: int
    material: str
    load_note: str


@dataclass(frozen=True, slots=True)
class BlockedRow:
    """A part of a wall that must stay free. x_mm from the wall's left edge, y_mm from the floor, lower-left corner."""

    wall_code: str
    name: str
    kind: str  # door, window, switch, radiator, other
    x_mm: int
    y_mm: int
    width_mm: int
    height_mm: int


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One print size of one work; code is "<width>x<height>" in millimetres, unique within the work."""

    work_code: str
    code: str
    width_mm: int
    height_mm: int
    factor_percent: int  # 100 = as good as the artist's usual size


@dataclass(frozen=True, slots=True)
class WorkRow:
    """need: 1–5. finish_codes: never empty (an empty cell means every finish). picture: file inside the folder."""

    code: str
    title: str
    year: str
    medium: str
    need: int
    finish_codes: tuple[str, ...]
    series: str
    picture: Path | None
    alt: str


@dataclass(frozen=True, slots=True)
class FinishRow:
    """How a work is presented. border, mat and moulding widths add up on each side of the print."""

    code: str
    name: str
    worth: int  # 0–100
    border_mm: int
    mat_mm: int
    moulding_mm: int
    is_printed_at_home: bool


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """One cost line of a finish. basis: piece, print_area, outer_area, outer_perimeter, minute."""

    finish_code: str
    item_code: str
    basis: str
    quantity_milli: int  # 1000 = once
    waste_bp: int


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One line of the price book. unit: piece, m, m2, minute; price_minor buys per_milli/1000 units."""

    code: str
    name: str
    unit: str
    price_minor: int
    per_milli: int
    mass_g_per_unit: int
    priced_on: date | None


@dataclass(frozen=True, slots=True)
class ShowCostRow:
    """A cost paid once if anything hangs: cards, reception, insurance, hanging hardware."""

    name: str
    amount_minor: int
    note: str


@dataclass(frozen=True, slots=True)
class EditionRow:
    """The print that can be ordered ahead. make_minor and pack_minor are what one copy costs the artist."""

    code: str
    title: str
    work_code: str
    width_mm: int
    height_mm: int
    paper: str
    description: str
    copies: int
    price_minor: int
    limit_per_person: int
    make_minor: int
    pack_minor: int
    mass_g: int  # one packed copy
    parcel_width_mm: int
    parcel_height_mm: int
    parcel_depth_mm: int


@dataclass(frozen=True, slots=True)
class LevelRow:
    """A named step with a promise; money_minor is wall money."""

    name: str
    money_minor: int
    promise: str


@dataclass(frozen=True, slots=True)
class PostageRow:
    """
    One step of one zone: up to so many copies, what the backer pays and what it costs.

    countries: ISO 3166-1 alpha-2, upper case, no country in two zones ("EU" in the file becomes the members that no
    other zone names); ("*",) = everywhere else.
    """

    zone: str
    countries: tuple[str, ...]
    up_to_copies: int
    charge_minor: int
    cost_minor: int


@dataclass(frozen=True, slots=True)
class ShowFolder:
    """
    Everything a show folder says. When `ok` is false the rows are what could be read and must not be stored.

    sizes are in the order of works, then as written; every other table is in file order.
    """

    settings: SettingsRow | None = None
    walls: tuple[WallRow, ...] = ()
    blocked_areas: tuple[BlockedRow, ...] = ()
    works: tuple[WorkRow, ...] = ()
    sizes: tuple[SizeRow, ...] = ()
    finishes: tuple[FinishRow, ...] = ()
    recipe_lines: tuple[RecipeRow, ...] = ()
    price_book: tuple[PriceRow, ...] = ()
    show_costs: tuple[ShowCostRow, ...] = ()
    edition: EditionRow | None = None
    levels: tuple[LevelRow, ...] = ()
    postage: tuple[PostageRow, ...] = ()
    verdicts: tuple[Verdict, ...] = field(default=())

    @property
    def ok(self) -> bool:
        """True when nothing was refused, so settings and edition are there and all references hold."""
        return not self.refusals

    @property
    def refusals(self) -> tuple[Verdict, ...]:
        """The refused rows only, in the order of the files."""
        return tuple(verdict for verdict in self.verdicts if verdict.outcome is Outcome.REFUSED)

"""What a show folder says, as frozen rows in our own units. Not for reading files: that is `folder.py`."""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path

from campaign.showfolder.cost_rows import (
    FinishRow,
    GiftRow,
    PriceRow,
    RecipeRow,
    ShowCostRow,
    SizePriceRow,
    StepRow,
)
from campaign.showfolder.rule_rows import ClosedDayRow, DeadlineRow, PairRow, WorthRow


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
    offer_hours: int  # how long a copy that comes back is kept for whoever waited
    minimum_minor: int | None  # wall money without which the show is not made as promised
    below_minimum: str  # scale_down or give_back
    commission_bp: int  # the gallery's share of wall sales
    set_aside_bp: int  # of money received, for tax and fees
    fee_bp: int  # what a payment processor is thought to keep
    fee_fixed_minor: int
    sale_rounding_minor: int  # prices on the wall are multiples of it
    contingency_bp: int
    min_gap_mm: int
    centre_mm: int
    printer_seconds: int
    printer_seconds_per_m2: int
    series_share_finish: bool
    most_finishes: int | None
    old_prices_before_on: date | None
    two_hooks_from_mm: int
    two_hooks_from_g: int
    hook_rating_g: int  # 0 = not known
    hook_margin: int
    print_hours_milli: int  # printing per print day
    proof_days: int
    drying_hours: int
    payout_days: int
    material_days: int
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
    rows: int  # 1 or 2
    row_height_mm: int  # of the tallest work in a row, where there are two
    row_gap_mm: int
    min_gap_mm: int | None  # in place of the show's


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
    must_hang: bool
    coverage_percent: int  # ink, of what is usual
    pinned_wall_code: str  # "" = not pinned
    pinned_middle_mm: int | None  # from the wall's left end
    pinned_row: int  # 0 the only or upper row, 1 the lower one
    net_minor: int | None  # what is to be left after commission


@dataclass(frozen=True, slots=True)
class EditionRow:
    """A print that can be ordered ahead. make_minor and pack_minor are what one copy costs the artist."""

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
    proofs: int = 0  # outside the copies, never sold
    sold_from_at: datetime | None = None  # later than the campaign opens
    sold_until_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class LevelRow:
    """A named step with a promise; money_minor is wall money."""

    name: str
    money_minor: int
    promise: str


@dataclass(frozen=True, slots=True)
class PostageRow:
    """
    One step of one zone: up to so many copies or grams (the other is 0), what the backer pays and what it costs.

    valid_from_on: counts from that day on; None = always did.

    countries: ISO 3166-1 alpha-2, upper case, no country in two zones ("EU" in the file becomes the members that no
    other zone names); ("*",) = everywhere else.
    """

    zone: str
    countries: tuple[str, ...]
    up_to_copies: int
    charge_minor: int
    cost_minor: int
    up_to_g: int = 0
    valid_from_on: date | None = None


@dataclass(frozen=True, slots=True)
class TaxRow:
    """A tax that prices hold or that is added to them; countries as written, "EU" and "*" among them."""

    name: str
    countries: tuple[str, ...]
    rate_bp: int
    is_added: bool
    covers_postage: bool
    valid_from_on: date | None


@dataclass(frozen=True, slots=True)
class ShowFolder:
    """
    Everything a show folder says. When `ok` is false the rows are what could be read and must not be stored.

    sizes are in the order of works, then as written; every other table is in file order. The tables from price_steps
    on are None when the folder has no file for them: it then says nothing of them.
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
    editions: tuple[EditionRow, ...] = ()
    levels: tuple[LevelRow, ...] = ()
    postage: tuple[PostageRow, ...] = ()
    price_steps: tuple[StepRow, ...] | None = None
    size_prices: tuple[SizePriceRow, ...] | None = None
    gifts: tuple[GiftRow, ...] | None = None
    worths: tuple[WorthRow, ...] | None = None
    pairs: tuple[PairRow, ...] | None = None
    closed_days: tuple[ClosedDayRow, ...] | None = None
    deadlines: tuple[DeadlineRow, ...] | None = None
    taxes: tuple[TaxRow, ...] | None = None
    verdicts: tuple[Verdict, ...] = field(default=())

    @property
    def ok(self) -> bool:
        """True when nothing was refused, so settings and an edition are there and all references hold."""
        return not self.refusals

    @property
    def refusals(self) -> tuple[Verdict, ...]:
        """The refused rows only, in the order of the files."""
        return tuple(verdict for verdict in self.verdicts if verdict.outcome is Outcome.REFUSED)

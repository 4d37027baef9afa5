"""Values of a row into the frozen rows of `rows.py`. Not for checking one row against another: that is `checks.py`."""

from collections.abc import Callable, Mapping
from typing import Any

from campaign.showfolder.build_costs import COST_BUILDERS
from campaign.showfolder.countries import open_union
from campaign.showfolder.entries import Entry
from campaign.showfolder.rows import (
    BlockedRow,
    EditionRow,
    LevelRow,
    PostageRow,
    SizeRow,
    TaxRow,
    WallRow,
    WorkRow,
)

Values = Mapping[str, Any]
_ALL_COPIES = 1000


def wall_row(values: Values, *, centre_mm: int) -> WallRow:
    """A wall; `centre_mm` is the show's centre line, for a wall that names none."""
    return WallRow(
        code=values["code"],
        name=values["name"] or values["code"],
        width_mm=values["width"],
        height_mm=values["height"],
        centre_mm=values["centre"] or centre_mm,
        end_margin_mm=values["end margin"],
        material=values["material"],
        load_note=values["load note"],
        rows=values["rows"],
        row_height_mm=values["row height"],
        row_gap_mm=values["row gap"],
        min_gap_mm=values["minimum gap"],
    )


def blocked_row(values: Values) -> BlockedRow:
    """A blocked area, its wall's code as the row spells it."""
    return BlockedRow(
        wall_code=values["wall"],
        name=values["name"] or values["kind"],
        kind=values["kind"],
        x_mm=values["from left"],
        y_mm=values["from floor"],
        width_mm=values["width"],
        height_mm=values["height"],
    )


def work_row(values: Values) -> WorkRow:
    """A work without its picture, which is sought later; its finishes as the row spells them."""
    return WorkRow(
        code=values["code"],
        title=values["title"],
        year=values["year"],
        medium=values["medium"],
        need=values["need"],
        finish_codes=values["finishes"],
        series=values["series"],
        picture=None,
        alt=values["alt text"],
        must_hang=values["must hang"],
        coverage_percent=values["coverage"],
        pinned_wall_code=values["wall"],
        pinned_middle_mm=values["middle at"],
        pinned_row=values["row"] - 1,
        net_minor=values["net"],
    )


def size_rows(values: Values) -> tuple[SizeRow, ...]:
    """The sizes of one work in the order written."""
    return tuple(
        SizeRow(values["code"], f"{width_mm}x{height_mm}", width_mm, height_mm, factor_percent)
        for width_mm, height_mm, factor_percent in values["sizes"]
    )


def edition_row(values: Values) -> EditionRow:
    """A print that can be ordered ahead."""
    width_mm, height_mm = values["print size"]
    parcel_width_mm, parcel_height_mm, parcel_depth_mm = values["parcel size"]
    return EditionRow(
        code=values["code"],
        title=values["title"],
        work_code=values["work"],
        width_mm=width_mm,
        height_mm=height_mm,
        paper=values["paper"],
        description=values["description"],
        copies=values["copies"],
        price_minor=values["price"],
        limit_per_person=values["limit per person"],
        make_minor=values["make cost"],
        pack_minor=values["pack cost"],
        mass_g=values["mass"],
        parcel_width_mm=parcel_width_mm,
        parcel_height_mm=parcel_height_mm,
        parcel_depth_mm=parcel_depth_mm,
        proofs=values["proofs"],
        sold_from_at=values["sold from"],
        sold_until_at=values["sold until"],
    )


def level_row(values: Values) -> LevelRow:
    """A named step with a promise."""
    return LevelRow(name=values["name"], money_minor=values["money"], promise=values["promise"])


def postage_row(values: Values) -> PostageRow:
    """A step of a zone; what it costs is what is charged where the row does not say."""
    cost_minor = values["charge"] if values["cost"] is None else values["cost"]
    return PostageRow(
        zone=values["zone"],
        countries=values["countries"],
        up_to_copies=step_copies(values),
        charge_minor=values["charge"],
        cost_minor=cost_minor,
        up_to_g=values["up to weight"] or 0,
        valid_from_on=values["valid from"],
    )


def step_copies(values: Values) -> int:
    """Copies that a step of the postage goes up to: all of them where the row says nothing, 0 for one by weight."""
    return 0 if values["up to weight"] else values["up to copies"] or _ALL_COPIES


def tax_row(values: Values) -> TaxRow:
    """A tax for some countries."""
    return TaxRow(
        name=values["name"],
        countries=values["countries"],
        rate_bp=values["rate"],
        is_added=values["how"] == "added",
        covers_postage=values["on postage"],
        valid_from_on=values["valid from"],
    )


def zone_countries(entries: tuple[Entry, ...]) -> dict[str, tuple[str, ...]]:
    """
    Countries of every zone: all that its rows name, "EU" opened into the members that no zone names itself.

    Returns: zone name → codes in the order named; ("*",) for everywhere else.
    """
    zones: dict[str, tuple[str, ...]] = {}
    for entry in entries:
        zones[entry.values["zone"]] = (*zones.get(entry.values["zone"], ()), *entry.values["countries"])
    return dict(zip(zones, open_union(list(zones.values())), strict=True))


BUILDERS: Mapping[str, Callable[[Values], Any]] = {
    "blocked": blocked_row,
    "works": work_row,
    "edition": edition_row,
    "levels": level_row,
    "postage": postage_row,
    "taxes": tax_row,
    **COST_BUILDERS,
}

"""Which copies travel together, in what, and what a parcel's papers need to know; pure, usable from a Python prompt."""

from fulfilment.packing.customs import (
    CustomsNote,
    customs_note,
    in_eu_customs_area,
    leaves_customs_area,
    sdr_limit_minor,
)
from fulfilment.packing.group import PackedParcel, PrintedCopy, group_into_parcels, recipient_key, share_out
from fulfilment.packing.label import LABEL_SHEETS, LabelSheet, bar_width_mm
from fulfilment.packing.label_grid import PRESETS, LabelGrid
from fulfilment.packing.limits import LETTER_POST, Box, Limits, charged_mass_g, limit_faults
from fulfilment.packing.mailers import (
    CannotPack,
    Consignment,
    Leaf,
    Mailer,
    Packed,
    count_mailers,
    fit_fault,
    pack_all,
    pack_parcels,
)
from fulfilment.packing.ranges import RangeError, parse_numbers, write_numbers
from fulfilment.packing.s10 import is_s10_shaped, s10_check_digit, tidy_tracking_number, tracking_fault
from fulfilment.packing.type_size import choose_type_size, cut_short, find_type_size

__all__ = [
    "LABEL_SHEETS",
    "LETTER_POST",
    "PRESETS",
    "Box",
    "CannotPack",
    "Consignment",
    "CustomsNote",
    "LabelGrid",
    "LabelSheet",
    "Leaf",
    "Limits",
    "Mailer",
    "Packed",
    "PackedParcel",
    "PrintedCopy",
    "RangeError",
    "bar_width_mm",
    "charged_mass_g",
    "choose_type_size",
    "count_mailers",
    "customs_note",
    "cut_short",
    "find_type_size",
    "fit_fault",
    "group_into_parcels",
    "in_eu_customs_area",
    "is_s10_shaped",
    "leaves_customs_area",
    "limit_faults",
    "pack_all",
    "pack_parcels",
    "parse_numbers",
    "recipient_key",
    "s10_check_digit",
    "sdr_limit_minor",
    "share_out",
    "tidy_tracking_number",
    "tracking_fault",
    "write_numbers",
]

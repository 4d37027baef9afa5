"""Which copies travel together, and what a parcel's papers need to know; pure, usable from a plain Python prompt."""

from fulfilment.packing.group import PackedParcel, PrintedCopy, group_into_parcels, recipient_key
from fulfilment.packing.label import LABEL_SHEETS, LabelSheet, bar_width_mm
from fulfilment.packing.ranges import RangeError, parse_numbers
from fulfilment.packing.s10 import is_s10_shaped, s10_check_digit, tidy_tracking_number, tracking_fault
from fulfilment.packing.type_size import choose_type_size

__all__ = [
    "LABEL_SHEETS",
    "LabelSheet",
    "PackedParcel",
    "PrintedCopy",
    "RangeError",
    "bar_width_mm",
    "choose_type_size",
    "group_into_parcels",
    "is_s10_shaped",
    "parse_numbers",
    "recipient_key",
    "s10_check_digit",
    "tidy_tracking_number",
    "tracking_fault",
]

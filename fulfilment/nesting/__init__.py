"""
Prints onto rolls and sheets, to be cut apart by straight cuts; pure, usable from a plain Python prompt.

`nest_on_roll` and `nest_on_sheets` lay them, `cut_apart` says how to cut and proves that it can be done.
"""

from fulfilment.nesting.bounds import least_length_mm
from fulfilment.nesting.cuts import Knife, NoStraightCut, cut_apart
from fulfilment.nesting.rolls import nest_on_roll
from fulfilment.nesting.sheets import nest_on_sheets
from fulfilment.nesting.specs import DoesNotFit, Print, Roll, RollNest, SheetNest, Sheets, Spot

__all__ = [
    "DoesNotFit",
    "Knife",
    "NoStraightCut",
    "Print",
    "Roll",
    "RollNest",
    "SheetNest",
    "Sheets",
    "Spot",
    "cut_apart",
    "least_length_mm",
    "nest_on_roll",
    "nest_on_sheets",
]

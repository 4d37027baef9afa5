"""
Bank statements, read and understood: a file becomes movements, a movement gets a proposal. Pure.

`read_camt` and `read_csv` (after `look_at_csv`) read, `propose` says what a movement may be. Nothing is booked here.
"""

from campaign.statements.camt import read_camt
from campaign.statements.columns import Layout, Meaning, guess_layout, layout_faults
from campaign.statements.csv_rows import read_csv
from campaign.statements.csv_sheet import CsvSheet, look_at_csv
from campaign.statements.lines import (
    MAX_BYTES,
    MAX_LINES,
    Movement,
    Statement,
    StatementRefused,
    is_camt,
    number_alike,
)
from campaign.statements.proposals import Booked, Order, OwedSum, Proposal, Verdict, propose

__all__ = [
    "MAX_BYTES", "MAX_LINES", "Booked", "CsvSheet", "Layout", "Meaning", "Movement", "Order", "OwedSum", "Proposal",
    "Statement", "StatementRefused", "Verdict", "guess_layout", "is_camt", "layout_faults", "look_at_csv",
    "number_alike", "propose", "read_camt", "read_csv",
]  # fmt: skip

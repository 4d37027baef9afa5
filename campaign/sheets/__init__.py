"""Tables out of the house and back: CSV and XLSX without live formulas, read back value for value. Knows no row."""

from campaign.sheets.cells import Column, Kind, Row, Table, UnreadableSheet, Value
from campaign.sheets.reading import read_back
from campaign.sheets.writing import write_csv, write_xlsx

__all__ = ["Column", "Kind", "Row", "Table", "UnreadableSheet", "Value", "read_back", "write_csv", "write_xlsx"]

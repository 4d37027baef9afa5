"""
The show folder: what an artist hands over, read into frozen rows with a verdict for every row of every file.

A folder holds one settings file, one table a kind, and the pictures (beside the tables or in folders inside):

| file                        | what is in it, a row each                                                              |
|-----------------------------|----------------------------------------------------------------------------------------|
| show.toml or settings.csv   | title, artist, venue, dates, shares, printer, ways to pay (`settings_columns.py`)      |
| walls                       | code, name, width, height, centre, end margin, material, load note                     |
| blocked (may be missing)    | wall, name, kind, from left, from floor, width, height                                 |
| works                       | code, title, year, medium, need 1–5, sizes, finishes, series, picture, alt text        |
| prices                      | code, name, unit, price, per, mass per unit, priced on                                 |
| finishes                    | code, name, worth 0–100, border, mat, moulding, printed at home                        |
| recipes                     | finish, item, basis, quantity, waste                                                   |
| costs (may be missing)      | name, amount, note                                                                     |
| edition (one row)           | code, title, work, print size, paper, copies, price, limit, make and pack cost, mass … |
| levels (may be missing)     | name, money, promise                                                                   |
| postage                     | zone, countries, up to copies, charge, cost                                            |

Tables are CSV (any delimiter, UTF-8, UTF-16 or Windows-1252) or XLSX, a file each or sheets of one workbook. Columns
come in any order and many spellings (`tables.py`); lengths need a unit in the cell, in the heading or in the settings.
"""

from campaign.showfolder.folder import read_show_folder
from campaign.showfolder.rows import Outcome, ShowFolder, Verdict

__all__ = ["Outcome", "ShowFolder", "Verdict", "read_show_folder"]

"""
The show folder: what an artist hands over, read into frozen rows with a verdict for every row of every file.

A folder holds one settings file, one table a kind, and the pictures (beside the tables or in folders inside):

| file                      | what is in it, a row each                                                                |
|---------------------------|------------------------------------------------------------------------------------------|
| show.toml or settings.csv | title, artist, venue, dates, shares, printer, schedule, hooks, ways to pay               |
|                           | (`settings_columns.py`)                                                                  |
| walls                     | code, name, width, height, centre, end margin, material, load note, rows 1–2, row        |
|                           | height (tallest work in a row), row gap, minimum gap (instead of the show's)             |
| blocked *                 | wall, name, kind, from left, from floor, width, height                                   |
| works                     | code, title, year, medium, need 1–5, sizes, finishes, series, picture, alt text, must    |
|                           | hang, coverage (ink, 100 % is usual), wall + middle at + row (pinned there), net (what   |
|                           | is to be left of its sale)                                                               |
| prices                    | code, name, unit, price, per, mass per unit, priced on, sold in packs (price and per are |
|                           | then of one pack, nothing less is sold), on the shelf                                    |
| price steps **            | item, from packs, price (of each pack, from so many on)                                  |
| size prices **            | item, up to (a size, whichever way it is turned), price                                  |
| finishes                  | code, name, worth 0–100, border, mat, moulding, printed at home, set-up (once), least    |
|                           | charge (for all its works), lead days (working days after print), depth, drop, glazed    |
| recipes                   | finish, item, basis (piece, print area, outer area, outer perimeter, minute, ink area,   |
|                           | print size, outer size), quantity, waste                                                 |
| costs *                   | name, amount, note                                                                       |
| edition (a row a print)   | code, title, work, print size, paper, copies, price, limit, make and pack cost, mass …;  |
|                           | proofs (outside the copies, not sold), sold from, sold until                             |
| levels *                  | name, money, promise                                                                     |
| postage                   | zone, countries, up to copies or up to weight, charge, cost, valid from (a day)          |
| taxes **                  | name, countries, rate, how (inside or added), on postage, valid from (a day)             |
| gifts **                  | giver, item, quantity (for the show) or work (for that work alone), value, thanks        |
| worths **                 | work, size, finish, worth (in place of need × finish × size)                             |
| pairs **                  | kind (apart: not side by side; together: on one wall), one, other                        |
| closed days **            | day, note                                                                                |
| deadlines **              | name, date, kind (grant, sponsor, other), money, note, done                              |

One star: may be missing, the show then has none. Two stars: may be missing, what the studio has of it is then left as
it is.

Tables are CSV (any delimiter, UTF-8, UTF-16 or Windows-1252) or XLSX, a file each or sheets of one workbook. Columns
come in any order and many spellings (`tables.py`); lengths need a unit in the cell, in the heading or in the settings.
"""

from campaign.showfolder.folder import read_show_folder
from campaign.showfolder.rows import Outcome, ShowFolder, Verdict

__all__ = ["Outcome", "ShowFolder", "Verdict", "read_show_folder"]

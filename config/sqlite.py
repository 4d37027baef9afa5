"""What Django opens SQLite files with."""

import sqlite3
from typing import Any


class OpenedOrClosed(sqlite3.Connection):
    """
    A connection that is closed at once where it cannot be set up, as on a disk that only reads.

    Django runs the first statements of a connection on itself; all later ones, Django's and ours, go through cursors.
    A connection that failed would stay open until Python looks for garbage, and a site that tries again every second
    has soon opened all it may.
    """

    def execute(self, sql: str, parameters: Any = (), /) -> sqlite3.Cursor:
        """As SQLite has it; a failure closes."""
        try:
            return super().execute(sql, parameters)
        except sqlite3.Error:
            self.close()
            raise

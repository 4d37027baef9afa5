"""
What a visitor sees when something fails on our side: a fault of ours is 500, records out of reach are 503.

Django calls `server_error` for every exception that nobody expected, whichever layer it came from.
"""

import sqlite3
import sys

from django.db import DatabaseError, InterfaceError
from django.http import HttpRequest, HttpResponse
from django.template import loader
from django.views.decorators.csrf import requires_csrf_token

RETRY_AFTER_S = 120
# A full or failing disk, a file that may not be written or opened, a lock that was not given in a minute.
SQLITE_AWAY = {
    sqlite3.SQLITE_BUSY, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_FULL, sqlite3.SQLITE_CANTOPEN,
}  # fmt: skip
# Classes of SQLSTATE: no connection, no resources (disk, memory, connections), ended by its operator, system error.
CLASSES_AWAY = ("08", "53", "57P", "58")
READ_ONLY = "25006"


@requires_csrf_token
def server_error(request: HttpRequest) -> HttpResponse:
    """Django's handler500. Rendered without the request: its visitor and messages may lie in the database."""
    if not is_database_away(sys.exc_info()[1]):
        return HttpResponse(loader.get_template("500.html").render(), status=500)
    answer = HttpResponse(loader.get_template("503.html").render(), status=503)
    answer.headers["Retry-After"] = str(RETRY_AFTER_S)
    answer.headers["Cache-Control"] = "no-store"
    return answer


def is_database_away(error: BaseException | None) -> bool:
    """True for what the operator mends outside our code: disk, rights, connection; a wrong statement is our fault."""
    if not isinstance(error, DatabaseError | InterfaceError):
        return False
    cause = error.__cause__
    if isinstance(cause, sqlite3.Error):
        return (getattr(cause, "sqlite_errorcode", 0) & 0xFF) in SQLITE_AWAY  # the low byte is the primary code
    state: str | None = getattr(cause, "sqlstate", None)
    if state is None:  # the driver itself found no server, or lost it
        return type(cause).__name__ in ("OperationalError", "InterfaceError")
    return state.startswith(CLASSES_AWAY) or state == READ_ONLY

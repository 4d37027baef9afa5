"""What the forms of the studio's details and of a new show begin with."""

from collections.abc import Sequence
from typing import Any

from campaign.models import Show, Studio

STUDIO_FIELDS = (
    "artist_name", "email", "contact_name", "address", "iban", "bic", "account_holder", "cheque_payee", "cash_note",
    "takes_cards",
)  # fmt: skip


def studio_start(studio: Studio | None) -> dict[str, Any]:
    """The studio's details; nothing on an empty installation."""
    return {name: getattr(studio, name) for name in STUDIO_FIELDS} if studio else {}


def new_show_start(shows: Sequence[Show]) -> dict[str, Any]:
    """Where the latest show was; for the first one what is common."""
    start = {"time_zone": "Europe/Berlin", "currency": "EUR", "length_unit": "cm", "opening_time": "18:00"}
    if not shows:
        return start
    names = ("venue_name", "venue_address", "country", "time_zone", "currency", "length_unit")
    return start | {name: getattr(shows[0], name) for name in names}

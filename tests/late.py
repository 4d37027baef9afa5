"""Scenes of late posting: an order from the United States, copies on their way, the notice, all dates of one summer."""

import uuid
from datetime import UTC, date, datetime
from typing import Any

from campaign.models import Copy, Job, Pledge, Show
from campaign.services.late_notices import send_late_notice

BOSTON_ADDRESS = {
    "country_code": "US", "street_address": "1 Sample Street", "city": "Boston", "country_area": "MA",
    "postal_code": "02101",
}  # fmt: skip
AGREED = date(2026, 7, 31)  # the builders' posting date
TOLD = datetime(2026, 7, 20, 10, 0, tzinfo=UTC)
SHORT, LONG = date(2026, 8, 30), date(2026, 8, 31)  # thirty and thirty-one days later
REASON = "The paper came damp & was sent back."


def post(pledge: Pledge, *, numbers: list[int] | None = None) -> None:
    """Its copies, or some of them, are on their way."""
    copies = Copy.objects.filter(pledge=pledge)
    (copies.filter(number__in=numbers) if numbers else copies).update(is_posted=True)


def send(show: Show, *, new_on: date | None = LONG, now: datetime = TOLD, key: Any = None) -> Job:
    """The notice to all who wait."""
    return send_late_notice(show=show, request_key=key or uuid.uuid4(), new_on=new_on, reason=REASON, now=now)

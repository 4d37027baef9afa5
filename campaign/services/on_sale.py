"""Whether orders are taken at a moment, by the campaign and for one edition; steps of the use cases beside it."""

from datetime import datetime

from campaign.errors import CampaignNotOpen, NotOnSale
from campaign.models import Edition, Show
from campaign.queries.order_terms import is_open


def check_open(show: Show, *, now: datetime) -> None:
    """Raises: CampaignNotOpen before and after the time in which the campaign takes orders."""
    if not is_open(show, now=now):
        opens_at, closes_at = show.opens_at.astimezone(show.zone), show.closes_at.astimezone(show.zone)
        raise CampaignNotOpen(opens_at=opens_at, closes_at=closes_at, now=now)


def check_window(edition: Edition, *, show: Show, now: datetime) -> None:
    """Raises: NotOnSale outside an edition's own time, where it has one."""
    if edition.is_sold_at(now):
        return
    start, end = edition.sold_from_at, edition.sold_until_at
    if start and now < start:
        raise NotOnSale(title=edition.title, from_at=start.astimezone(show.zone))
    raise NotOnSale(title=edition.title, until_at=end.astimezone(show.zone) if end else None)

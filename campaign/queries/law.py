"""The checklists of the page Law: the regions that backers may order from, with the dates of this campaign."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from campaign.measures.lengths import format_size
from campaign.models import Edition, Pledge, Show, Studio
from campaign.planning.law.disclosure import EditionFacts, Point, Said, counts_as_art_photograph, read_disclosure
from campaign.planning.law.late_posting import consents_by_silence_until, refund_by, ship_by
from campaign.planning.law.regions import Region, region_of
from campaign.planning.law.withdrawal import deliver_by, withdraw_until, withdraw_until_uninformed
from campaign.queries.late import LateOrder, read_late_orders
from campaign.queries.order_terms import list_countries
from campaign.queries.show_days import holidays_of

ARRIVES_AFTER_DAYS = (3, 10, 30)  # examples: nobody knows before when a parcel comes
NAMES = {
    Region.US: "United States",
    Region.EU: "European Union",
    Region.UK: "United Kingdom",
    Region.ELSEWHERE: "Elsewhere",
}


@dataclass(frozen=True, slots=True)
class Arrival:
    """A parcel posted on the last stated day, so many days under way, and until when its backer may withdraw."""

    days: int
    delivered_on: date
    until_on: date
    uninformed_until_on: date


@dataclass(frozen=True, slots=True)
class RegionSheet:
    """
    One region with its dates. `orders` are live ones, `waiting` those with a print to post.

    `paid_on` is the day of the earliest complete order, `unstated_by_on` and `undelivered_by_on` what would hold for it
    if no day had been stated; `due_on` the earliest day that is still to be kept, or the stated one; `is_told`: by
    a notice. `silent_end_on` is when silence ends the next order.
    """

    region: Region
    name: str
    countries: tuple[str, ...]
    orders: int
    waiting: int
    paid_on: date | None
    unstated_by_on: date | None
    undelivered_by_on: date | None
    due_on: date
    is_told: bool
    silent_end_on: date | None
    consent_until_on: date
    money_back_by_on: date
    arrivals: tuple[Arrival, ...]


@dataclass(frozen=True, slots=True)
class EditionSheet:
    """What is said of a print against what several laws ask."""

    edition: Edition
    points: tuple[Point, ...]
    is_art_photograph_size: bool

    @property
    def missing(self) -> int:
        """How many points nothing is said about."""
        return sum(point.said is Said.MISSING for point in self.points)


@dataclass(frozen=True, slots=True)
class LawPage:
    """The page; `today_on` is the day its dates are counted from."""

    today_on: date
    regions: tuple[RegionSheet, ...]
    editions: tuple[EditionSheet, ...]


def read_law(show: Show, *, now: datetime) -> LawPage:
    """The checklists of `show`: regions with a postage rate or an order, in the order of `Region`. Nine queries."""
    today_on = now.astimezone(show.zone).date()
    countries: defaultdict[Region, list[str]] = defaultdict(list)
    for code, name in list_countries(show.postage_rates.all()):
        countries[region_of(code)].append(name)
    live = show.pledges.filter(state__in=Pledge.LIVE, copies__gt=0)
    orders: defaultdict[Region, list[LateOrder]] = defaultdict(list)
    for order in read_late_orders(show, pledges=live):
        orders[order.region].append(order)
    sheets = (
        _sheet(region, show=show, countries=countries[region], orders=orders[region], today_on=today_on)
        for region in Region
        if countries[region] or orders[region]
    )
    return LawPage(today_on=today_on, regions=tuple(sheets), editions=_editions(show))


def _sheet(
    region: Region, *, show: Show, countries: Sequence[str], orders: Sequence[LateOrder], today_on: date
) -> RegionSheet:
    waiting = [one for one in orders if one.is_waiting]
    paid_on = min((_day(one.pledge.paid_at, show) for one in orders if one.pledge.paid_at), default=None)
    due_on = min((one.due_on for one in waiting if one.due_on), default=show.posting_by_on)
    return RegionSheet(
        region=region,
        name=NAMES[region],
        countries=tuple(countries),
        orders=len(orders),
        waiting=len(waiting),
        paid_on=paid_on,
        unstated_by_on=ship_by(completed_on=paid_on) if paid_on else None,
        undelivered_by_on=deliver_by(paid_on) if paid_on else None,
        due_on=due_on,
        is_told=any(one.told and one.due_on == due_on for one in waiting),
        silent_end_on=min((one.silent_end_on for one in waiting if one.silent_end_on), default=None),
        consent_until_on=consents_by_silence_until(due_on),
        money_back_by_on=refund_by(today_on, region=region, holidays=_holidays("US", today_on)),
        arrivals=_arrivals(region, show=show, posted_on=max([due_on, show.posting_by_on])),
    )


def _day(moment: datetime, show: Show) -> date:
    return moment.astimezone(show.zone).date()


def _holidays(country: str, around: date) -> frozenset[date]:
    return holidays_of(country, (around.year, around.year + 1)) or frozenset()


def _arrivals(region: Region, *, show: Show, posted_on: date) -> tuple[Arrival, ...]:
    """With the holidays of the venue's country where it lies in the region, of the United Kingdom there."""
    if region not in (Region.EU, Region.UK):
        return ()
    country = "GB" if region is Region.UK else show.country if region_of(show.country) is region else ""
    holidays = _holidays(country, posted_on) if country else frozenset()
    arrivals = []
    for days in ARRIVES_AFTER_DAYS:
        delivered_on = posted_on + timedelta(days=days)
        until_on = withdraw_until([delivered_on], holidays=holidays)
        arrivals.append(Arrival(days, delivered_on, until_on, withdraw_until_uninformed([delivered_on])))
    return tuple(arrivals)


def _editions(show: Show) -> tuple[EditionSheet, ...]:
    artist = Studio.objects.get(pk=1).artist_name
    return tuple(
        EditionSheet(
            edition,
            points=read_disclosure(_facts(edition, show=show, artist=artist)),
            is_art_photograph_size=counts_as_art_photograph(copies=edition.size, proofs=edition.proofs),
        )
        for edition in show.editions.select_related("work")
    )


def _facts(edition: Edition, *, show: Show, artist: str) -> EditionFacts:
    work = edition.work
    return EditionFacts(
        artist=artist,
        title=edition.title,
        year=work.year if work else "",
        process=work.medium if work else "",
        paper=edition.paper,
        size_words=format_size(edition.width_mm, edition.height_mm, unit=show.length_unit),
        copies=edition.size,
        proofs=edition.proofs,
        description=edition.description,
    )

"""Watching a campaign: its course, where it may end, where orders came from, and what to do next."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Q, Sum

from campaign.drawing.course import CourseFigure, draw_course
from campaign.measures.money import currency_digits
from campaign.models import CashEntry, Pledge, Show, Source
from campaign.planning.watching.course import CourseDay, Move, course
from campaign.planning.watching.forecast import Band, forecast
from campaign.queries.advice import list_open_pledges, what_to_do
from campaign.queries.money import BACKER_ACCOUNTS
from campaign.queries.standing import Standing, read_standing


@dataclass(frozen=True, slots=True)
class SourceLine:
    """A tagged link and what came by it: orders that live, and their sum in minor units."""

    source: Source | None
    orders: int
    total_minor: int


@dataclass(frozen=True, slots=True)
class WatchPage:
    """What the page says; `band` None while it is too early, or once the campaign has ended."""

    standing: Standing
    days: tuple[CourseDay, ...]
    figure: CourseFigure | None
    band: Band | None
    sources: tuple[SourceLine, ...]
    next_words: str
    days_words: str


def read_watching(show: Show, *, now: datetime) -> WatchPage:
    """The page of `show` at `now`; queries do not grow with the orders."""
    standing, today = read_standing(show), now.astimezone(show.zone).date()
    pledges = list(_pledge_moves(show))
    first_on, last_on = show.opens_at.astimezone(show.zone).date(), show.closes_at.astimezone(show.zone).date()
    days = course([*pledges, *_cash_moves(show)], first_on=first_on, last_on=min(today, last_on))
    band = _band(show, now=now)
    levels = [(one.level.name, one.level.money_minor) for one in standing.levels]
    figure = draw_course(days, last_on=last_on, levels=levels, band=(band.low_minor, band.high_minor) if band else None)
    return WatchPage(
        standing=standing,
        days=days,
        figure=figure,
        band=band,
        sources=_sources(show),
        next_words=what_to_do(standing, editions=list(show.editions.all()), open_pledges=list_open_pledges(show)),
        days_words=days_sentence(show, now=now),
    )


def _pledge_moves(show: Show) -> list[Move]:
    sums = ("prints_minor", "postage_minor", "gift_minor", "tax_added_minor")
    moves = []
    rows = show.pledges.values_list("state", "placed_at", "ended_at", *sums)
    for state, placed_at, ended_at, *parts in rows:
        moves.append(Move(placed_at.astimezone(show.zone).date(), pledged_minor=sum(parts)))
        if state not in Pledge.LIVE and ended_at:
            moves.append(Move(ended_at.astimezone(show.zone).date(), pledged_minor=-sum(parts)))
    return moves


def _cash_moves(show: Show) -> list[Move]:
    by_day: Counter[date] = Counter()
    touching = Q(debit__in=BACKER_ACCOUNTS) | Q(credit__in=BACKER_ACCOUNTS)
    rows = CashEntry.objects.filter(touching, show=show).order_by()
    for on, debit, credit, minor in rows.values_list("happened_on", "debit", "credit").annotate(Sum("amount_minor")):
        by_day[on] += minor * ((credit in BACKER_ACCOUNTS) - (debit in BACKER_ACCOUNTS))
    return [Move(on, received_minor=minor) for on, minor in by_day.items()]


def _band(show: Show, *, now: datetime) -> Band | None:
    if show.state != Show.State.OPEN or not show.opens_at <= now < show.closes_at:
        return None
    live = show.pledges.filter(state__in=Pledge.LIVE).aggregate(n=Count("pk"), **_SUMS)
    orders, total_minor = live.pop("n"), sum(minor or 0 for minor in live.values())
    elapsed = (now - show.opens_at) / (show.closes_at - show.opens_at)
    band = forecast(orders=orders, total_minor=total_minor, elapsed=elapsed)
    return _in_whole_units(band, currency=show.currency) if band else None


def _in_whole_units(band: Band, *, currency: str) -> Band:
    """Wider to the next whole unit on both sides: a guess with cents would pretend to know more than it does."""
    unit = 10 ** currency_digits(currency)
    return Band(low_minor=band.low_minor // unit * unit, high_minor=-(-band.high_minor // unit) * unit)


_SUMS = {name: Sum(name) for name in ("prints_minor", "postage_minor", "gift_minor", "tax_added_minor")}


def _sources(show: Show) -> tuple[SourceLine, ...]:
    live = show.pledges.filter(state__in=Pledge.LIVE).order_by().values("source").annotate(n=Count("pk"), **_SUMS)
    came: dict[int | None, tuple[int, int]] = {}
    for source_pk, count, *sums in live.values_list("source", "n", *_SUMS):
        came[source_pk] = (count, sum(minor or 0 for minor in sums))
    lines = [SourceLine(source, *came.get(source.pk, (0, 0))) for source in show.sources.all()]
    if None in came and lines:
        lines.append(SourceLine(None, *came[None]))
    return tuple(sorted(lines, key=lambda line: -line.total_minor))


def days_sentence(show: Show, *, now: datetime) -> str:
    """How long orders are still taken; empty when they are not."""
    if show.state != Show.State.OPEN or now >= show.closes_at:
        return ""
    if now < show.opens_at:
        return f"Orders are taken from {show.opens_at.astimezone(show.zone):%-d %B}."
    left = (show.closes_at.astimezone(show.zone).date() - now.astimezone(show.zone).date()).days
    return "Today is the last day." if left == 0 else "1 day is left." if left == 1 else f"{left} days are left."

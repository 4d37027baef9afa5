"""Everything the public page of a show says, from a fixed number of queries; nothing about any one person."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from campaign.addresses import country_name
from campaign.drawing.room import DrawnWall, Listed, draw_room
from campaign.drawing.thermometer import Mark, Thermometer, draw_thermometer
from campaign.measures.money import format_minor
from campaign.models import Finish, Pledge, PostageRate, Show, Studio, Update, Work
from campaign.planning import Plan, PlannedWork, PlanRequest, Step, plan_at
from campaign.queries.editions import with_stock
from campaign.queries.funders import list_thanks
from campaign.queries.news import list_published
from campaign.queries.order_terms import PostageStep, is_open, list_countries, step_words
from campaign.queries.plan_request import load_request
from campaign.queries.postage import list_ways, rates_in_force, reach
from campaign.queries.public_words import next_step_sentence, standing_sentence
from campaign.queries.standing import Standing, load_plan, read_standing

NEWEST = 3  # pieces of news; the archive has them all
HANGS, NEXT, WAITS = "hangs", "next", "waits"


@dataclass(frozen=True, slots=True)
class PageWork:
    """A work in the list beside the drawing; `planned` as it hangs now, or would at the next level, or None."""

    number: int
    work: Work
    state: str
    planned: PlannedWork | None
    finish_name: str


@dataclass(frozen=True, slots=True)
class PostageRow:
    """One zone of the postage table and its steps, from the smallest."""

    zone: str
    countries: str
    steps: tuple[PostageStep, ...]


@dataclass(frozen=True, slots=True)
class PublicPage:
    """What the template shows; see the properties for what depends on the moment it is shown at."""

    show: Show
    studio: Studio
    standing: Standing
    sentence: str
    next_step: str
    works: tuple[PageWork, ...]
    walls: tuple[DrawnWall, ...]
    pencil_name: str
    next_walls: tuple[DrawnWall, ...]
    level_walls: tuple[DrawnWall, ...]
    thermometer: Thermometer
    editions: tuple[Any, ...]  # Edition, with its stock, `is_on_sale`, `is_later`
    postage: tuple[PostageRow, ...]
    news: tuple[Update, ...]
    thanked: tuple[str, ...]
    given: tuple[tuple[str, str], ...]  # sponsors, grants and givers in kind, and the artist's thanks
    ways: tuple[str, ...]
    countries: tuple[tuple[str, str], ...]
    is_open: bool
    is_soon: bool


def read_public_page(show: Show, *, now: datetime) -> PublicPage:
    """The page of `show` at the moment `now`, from at most 14 queries whatever the number of works and orders."""
    editions = _editions(show, now=now)
    standing = read_standing(show, copies_free=sum(edition.copies_free for edition in editions))
    fixed = _fixed(show)
    plan = fixed or standing.now
    is_settled = fixed is not None or show.state == Show.State.CALLED_OFF
    pencil, pencil_name = (None, "") if is_settled else _pencil(standing)
    works = _works(show, plan=plan, pencil=pencil)
    listed = [Listed(one.work.code, one.number, one.work.picture.sha256 if one.work.picture else "") for one in works]
    request = load_request(show.fixed_plan.run.request) if fixed else standing.request
    today = now.astimezone(show.zone).date()
    studio, rates = Studio.objects.get(pk=1), rates_in_force(show.postage_rates.all(), today=today)
    return PublicPage(
        show=show,
        studio=studio,
        standing=standing,
        sentence=standing_sentence(standing, fixed=fixed, now=now),
        next_step="" if is_settled else next_step_sentence(standing),
        works=works,
        walls=draw_room(request, now=plan, pencil=None if _hangs(plan) else pencil, works=listed) if request else (),
        pencil_name=pencil_name,
        next_walls=_next_walls(request, plan=plan, pencil=pencil, listed=listed),
        level_walls=() if is_settled else _level_walls(standing, pencil=pencil, listed=listed),
        thermometer=_thermometer(standing),
        editions=editions,
        postage=_postage(rates),
        news=tuple(list_published(show)[:NEWEST]),
        thanked=_thanked(show),
        given=_given(show),
        countries=list_countries(rates),
        ways=tuple(label for _, label in list_ways(studio=studio, show=show)),
        is_open=is_open(show, now=now),
        is_soon=show.state == Show.State.OPEN and now < show.opens_at,
    )


def _hangs(plan: Plan | None) -> bool:
    """Whether anything hangs: then it is drawn where it hangs, and what comes next in a drawing of its own."""
    return plan is not None and bool(plan.works)


def _fixed(show: Show) -> Plan | None:
    if show.state not in (Show.State.CLOSED, Show.State.PRINTED):
        return None
    fixed = getattr(show, "fixed_plan", None)
    return load_plan(fixed.plan) if fixed else None


def _pencil(standing: Standing) -> tuple[Plan | None, str]:
    """
    What is drawn in pencil, apart from what hangs, and what it takes: the next level, or the next step where every
    level is reached.

    Where the level takes down or shrinks something that hangs now, the two cannot be drawn over each other: then it
    is the richest show on the way to the level that keeps all that hangs. None where there is no such show.
    """
    request, staircase, now = standing.request, standing.staircase, standing.now
    level = standing.next_level
    aim_minor = level.level.money_minor if level else now.next_money_minor if now else None
    if request is None or staircase is None or aim_minor is None:
        return None, ""
    here, there = staircase.index_at(standing.in_hand_minor), staircase.index_at(aim_minor)
    ahead = staircase.steps[here + 1 : there + 1]
    keeping = [step for step in ahead if _keeps_all(request, now=staircase.steps[here], later=step)]
    if not keeping:
        return None, ""
    step = keeping[-1]
    if level and step is staircase.steps[there]:
        name = f"the level “{level.level.name}”"
    else:
        missing_minor = step.money_minor - standing.in_hand_minor
        name = f"{format_minor(missing_minor, currency=standing.show.currency, locale=standing.show.locale)} more"
    return plan_at(request, staircase, step.money_minor), name


def _next_walls(
    request: PlanRequest | None, *, plan: Plan | None, pencil: Plan | None, listed: list[Listed]
) -> tuple[DrawnWall, ...]:
    """The walls as the pencilled show has them: all that hangs now at its new place, what is new in pencil."""
    if request is None or pencil is None or not _hangs(plan):
        return ()
    return draw_room(request, now=plan, pencil=pencil, works=listed)


def _level_walls(standing: Standing, *, pencil: Plan | None, listed: list[Listed]) -> tuple[DrawnWall, ...]:
    """The walls with the next level, all in pencil, where it cannot be drawn over what hangs now."""
    request, staircase, level = standing.request, standing.staircase, standing.next_level
    if request is None or staircase is None or level is None:
        return ()
    plan = plan_at(request, staircase, level.level.money_minor)
    if pencil is not None and plan.cost_minor == pencil.cost_minor:
        return ()
    return draw_room(request, now=None, pencil=plan, works=listed)


def _keeps_all(request: PlanRequest, *, now: Step, later: Step) -> bool:
    """Whatever hangs now hangs later as well, no smaller in width or height."""
    for work, before, after in zip(request.works, now.choice, later.choice, strict=True):
        if before < 0:
            continue
        if after < 0:
            return False
        small, large = work.options[before], work.options[after]
        if small.width_mm > large.width_mm or small.height_mm > large.height_mm:
            return False
    return True


def _works(show: Show, *, plan: Plan | None, pencil: Plan | None) -> tuple[PageWork, ...]:
    finishes = dict(Finish.objects.filter(show=show).values_list("code", "name"))
    hung = {work.code: work for work in plan.works} if plan else {}
    coming = {work.code: work for work in pencil.works} if pencil else {}
    # The pictures themselves stay where they are; only what their addresses and frames need is read.
    rows = show.works.select_related("picture").only(
        "show", "code", "title", "year", "medium", "alt_text", "position",
        "picture__sha256", "picture__width_px", "picture__height_px",
    )  # fmt: skip
    found = []
    for number, work in enumerate(rows, start=1):
        planned = hung.get(work.code) or coming.get(work.code)
        state = HANGS if work.code in hung else NEXT if work.code in coming else WAITS
        finish = finishes.get(planned.finish_code, "") if planned else ""
        found.append(PageWork(number=number, work=work, state=state, planned=planned, finish_name=finish))
    return tuple(found)


def _thermometer(standing: Standing) -> Thermometer:
    marks = [
        Mark(name=one.level.name, money_minor=one.level.money_minor, is_reached=one.is_reached)
        for one in standing.levels
    ]
    return draw_thermometer(
        in_hand_minor=standing.in_hand_minor, if_paid_minor=standing.if_paid_minor, marks=marks, here_name="in hand"
    )


def _editions(show: Show, *, now: datetime) -> tuple[Any, ...]:
    """The editions with the picture of their work, their stock, and whether they are sold now."""
    editions: Any = with_stock(show.editions.all()).select_related("work__picture")
    found = tuple(editions.defer("work__picture__webp", "work__picture__thumbnail_webp"))
    for edition in found:
        edition.is_on_sale = edition.is_sold_at(now)
        edition.is_later = edition.sold_from_at is not None and now < edition.sold_from_at
    return found


def _postage(rates: list[PostageRate]) -> tuple[PostageRow, ...]:
    zones: dict[str, list[PostageRate]] = {}
    for rate in rates:
        zones.setdefault(rate.zone, []).append(rate)
    return tuple(
        PostageRow(
            zone=zone,
            countries=_countries(zone, codes=steps[0].country_codes),
            steps=tuple(PostageStep(step_words(rate), rate.charge_minor) for rate in sorted(steps, key=reach)),
        )
        for zone, steps in zones.items()
    )


def _countries(zone: str, *, codes: tuple[str, ...]) -> str:
    """The zone's countries by name; empty where the zone is called just that."""
    names = "everywhere else" if codes == ("*",) else ", ".join(country_name(code) for code in codes)
    return "" if names.casefold() == zone.strip().casefold() else names


def _thanked(show: Show) -> tuple[str, ...]:
    paid = show.pledges.filter(state=Pledge.State.PAID, is_thanked_by_name=True).exclude(name="")
    return tuple(paid.order_by("paid_at", "pk").values_list("name", flat=True))


def _given(show: Show) -> tuple[tuple[str, str], ...]:
    in_kind = show.gifts_in_kind.exclude(thanks="").order_by("pk").values_list("giver", "thanks")
    return (*list_thanks(show), *in_kind)

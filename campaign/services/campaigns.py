"""A campaign's life: publishing it, its levels, closing it and fixing the plan."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime

from django.db import transaction

from campaign.errors import NotInThisState, NotReady
from campaign.models import FixedPlan, Level, Show, StaircaseRun, Studio
from campaign.planning import plan_at
from campaign.planning.errors import PlanningError
from campaign.queries.minimum import missed_words, read_minimum
from campaign.queries.money import read_money
from campaign.queries.plan_request import load_request
from campaign.queries.postage import list_ways
from campaign.queries.standing import load_staircase
from campaign.services.calling_off import end_show
from campaign.services.plans import refresh_staircase
from campaign.services.promises import measured, read_measure

State = Show.State
CLOSING_ATTEMPTS = 3


@transaction.atomic(durable=True)
def publish_show(*, show: Show, now: datetime) -> Show:
    """
    Put the page before the public; orders are taken from the opening moment on.

    Writes: Show.
    Raises: NotReady while something that the page must say is missing; NotInThisState after the close.
    Repeat: a published show stays as it is.
    """
    show = Show.objects.get(pk=show.pk)
    if show.state == State.OPEN:
        return show
    if show.state != State.DRAFT:
        raise NotInThisState(what="The campaign", state=show.get_state_display())
    if not show.editions.exists():
        raise NotReady("There is no print to order yet. Add the edition first.")
    if not show.levels.exists():
        raise NotReady("There is no level yet. Say first what the show will be at two or three sums.")
    if show.closes_at <= now:
        raise NotReady("The closing date has passed. Choose a later one first.")
    _check_orders_can_come(show)
    Show.objects.filter(pk=show.pk, state=State.DRAFT).update(state=State.OPEN)
    show.refresh_from_db()
    return show


def _check_orders_can_come(show: Show) -> None:
    posted = {code for rate in show.postage_rates.all() for code in rate.country_codes}
    if not {show.country, "*"} & posted:
        raise NotReady("Nothing can be posted to your own country yet. Say first what posting costs.")
    studio = Studio.objects.filter(pk=1).first()
    if studio is None or not list_ways(studio=studio, show=show):
        raise NotReady("There is no way of paying yet. Fill in an account, cheques or cash in the studio’s details.")


@dataclass(frozen=True, slots=True)
class LevelWish:
    """A level as the artist types it."""

    name: str
    promise: str
    money_minor: int


@transaction.atomic(durable=True)
def set_levels(*, show: Show, levels: Sequence[LevelWish]) -> list[Level]:
    """
    Replace the levels of `show`.

    A promise whose words stay is measured as before, wherever its level moves; new words are measured by what their
    sum buys now, so that a later edit can be checked against them: at once on the exact staircase, or as soon as it is
    there.
    Writes: Level.
    Raises: NotInThisState once the campaign is closed; NotReady for two levels at the same sum.
    Repeat: the same levels again change nothing a reader sees.
    """
    current = Show.objects.get(pk=show.pk)
    if current.state not in (State.DRAFT, State.OPEN):
        raise NotInThisState(what="The campaign", state=current.get_state_display())
    if len({level.money_minor for level in levels}) != len(levels):
        raise NotReady("Two levels stand at the same sum. Give each its own.")
    before, staircase = list(current.levels.all()), read_measure(current)
    current.levels.all().delete()
    return Level.objects.bulk_create(
        Level(
            show=current, name=level.name, promise=level.promise, money_minor=level.money_minor,
            **(_measured_before(level, before=before) or measured(staircase, money_minor=level.money_minor)),
        )
        for level in sorted(levels, key=lambda level: level.money_minor)
    )  # fmt: skip


def _measured_before(wish: LevelWish, *, before: Sequence[Level]) -> dict[str, int] | None:
    """What the same words promised so far; without words, what the same name promised for the same sum."""
    for level in before:
        same = (level.name, level.money_minor) == (wish.name, wish.money_minor)
        if level.promise == wish.promise and (wish.promise or same) and level.promised_worth:
            return {"promised_works": level.promised_works, "promised_worth": level.promised_worth}
    return None


def close_campaign(*, show: Show, now: datetime) -> FixedPlan | None:
    """
    Take no more orders and fix the show to the wall money in hand; None if it missed its minimum and is called off.

    The artist chose beforehand what happens below the minimum: a smaller show, or all money back.

    Orders that still wait for payment may be paid until their time is over; that money stays for the unforeseen.
    Writes: Show, FixedPlan; what `services/calling_off.py` writes.
    Raises: NotInThisState unless the campaign is open; NotReady while edits keep slipping in, and where no show can be
        worked out from the inputs.
    Repeat: a closed campaign keeps the plan it has, and one that is called off stays so.
    """
    for _ in range(CLOSING_ATTEMPTS):
        if _give_back_if_missed(show_pk=show.pk, now=now):
            return None
        try:
            run = refresh_staircase(show=show, now=now)
        except PlanningError as fault:
            raise NotReady(f"The best show cannot be worked out: {fault} Nothing was closed.") from fault
        fixed = _close(show_pk=show.pk, run=run, now=now)
        if fixed:
            return fixed
    raise NotReady("The show was being edited at the same moment. Nothing was closed; try again.")


@transaction.atomic(durable=True)
def _give_back_if_missed(*, show_pk: int, now: datetime) -> bool:
    """Call the show off if that is what was promised for what came in. True if it is called off."""
    show = Show.objects.select_for_update(no_key=True).get(pk=show_pk)
    if show.state == State.OPEN and _must_give_back(show, money_minor=read_money(show).in_hand.total_minor):
        end_show(show, words=missed_words(show), now=now)
        return True
    return show.state == State.CALLED_OFF


def _must_give_back(show: Show, *, money_minor: int) -> bool:
    minimum = read_minimum(show, in_hand_minor=money_minor)
    return minimum is not None and minimum.gives_back and not minimum.is_reached


@transaction.atomic(durable=True)
def _close(*, show_pk: int, run: StaircaseRun, now: datetime) -> FixedPlan | None:
    """The fixed plan; None, and nothing written, if an edit or a booking below the minimum has slipped in since."""
    show = Show.objects.select_for_update(no_key=True).get(pk=show_pk)
    if show.state != State.OPEN:
        known = FixedPlan.objects.filter(show=show).first()
        if known is None:
            raise NotInThisState(what="The campaign", state=show.get_state_display())
        return known
    money_minor = read_money(show).in_hand.total_minor
    if run.inputs_version != show.inputs_version or _must_give_back(show, money_minor=money_minor):
        return None
    Show.objects.filter(pk=show_pk, state=State.OPEN).update(state=State.CLOSED, closed_at=now)
    plan = plan_at(load_request(run.request), load_staircase(run), money_minor)
    return FixedPlan.objects.create(
        show=show,
        run=run,
        money_minor=money_minor,
        cost_minor=plan.cost_minor,
        worth=plan.worth,
        plan=asdict(plan),
        fixed_at=now,
    )

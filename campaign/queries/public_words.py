"""The sentences of standing on the public page: what hangs, what is missing, in plain words."""

from collections.abc import Callable
from datetime import datetime

from campaign.measures.money import format_minor
from campaign.measures.words import spell
from campaign.models import Show
from campaign.planning import Plan
from campaign.queries.standing import Standing


def _works(count: int) -> str:
    return "one work" if count == 1 else f"{spell(count)} works"


def _hang(count: int) -> str:
    return "hangs" if count == 1 else "hang"


def _written(show: Show) -> Callable[[int], str]:
    return lambda minor: format_minor(minor, currency=show.currency, locale=show.locale)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def standing_sentence(standing: Standing, *, fixed: Plan | None, now: datetime) -> str:
    """One or two plain sentences for the top of the page; amounts in the show's currency."""
    show = standing.show
    if show.state == Show.State.CALLED_OFF:
        return f"This show is called off. {show.called_off_words} All money goes back."
    if fixed is not None:
        return _after_close(show, fixed=fixed)
    if now < show.opens_at and standing.money.received_minor == 0:
        opens = show.opens_at.astimezone(show.zone)
        return f"The walls are still empty. Orders are taken from {opens:%-d %B %Y, %H:%M} on."
    if standing.now is None or standing.request is None or standing.if_paid is None:
        return "The walls are being worked out. Look again in a minute."
    hung, total = len(standing.now.works), len(standing.request.works)
    return f"{_hung(hung=hung, total=total, if_paid=len(standing.if_paid.works))} {_missing(standing)}".strip()


def _hung(*, hung: int, total: int, if_paid: int) -> str:
    if hung == 0 and if_paid == 0:
        return "Nothing hangs yet."
    if hung == 0:
        return f"Nothing hangs yet; {_works(if_paid)} will, once every open order is paid."
    what = (
        f"All {spell(total)} works hang"
        if hung == total
        else f"{_capital(spell(hung))} of {spell(total)} works {_hang(hung)}"
    )
    more = if_paid - hung
    if more > 0:
        return f"{what}, and {spell(more)} more once every open order is paid."
    return f"{what}."


def _missing(standing: Standing) -> str:
    """What is missing to the next level, or to the next step of the staircase above the last level."""
    written = _written(standing.show)
    level = standing.next_level
    if level is not None:
        if level.is_reached_if_paid:
            return f"With these orders “{level.level.name}” is reached."
        reaches = f"more wall money reaches “{level.level.name}”."
        if standing.if_paid_minor > standing.in_hand_minor:
            return f"Beyond the open orders, {written(level.level.money_minor - standing.if_paid_minor)} {reaches}"
        return f"{written(level.missing_minor)} {reaches}"
    if standing.now is not None and standing.now.next_money_minor is not None:
        return "Every level is reached, and more still makes the show better."
    return "This is the best the room can be."


def next_step_sentence(standing: Standing) -> str:
    """The very next step of the staircase: what it costs and what it does. Empty at the top."""
    plan = standing.now
    if plan is None or plan.next_money_minor is None:
        return ""
    missing = _written(standing.show)(plan.next_money_minor - standing.in_hand_minor)
    parts = []
    if plan.next_added_codes:
        parts.append(f"hangs {_works(len(plan.next_added_codes))} more")
    if plan.next_changed_codes:
        parts.append(f"gives {_works(len(plan.next_changed_codes))} a better size or finish")
    if plan.next_removed_codes:
        parts.append(f"takes {_works(len(plan.next_removed_codes))} down for it")
    return f"The next step is {missing} away: it {' and '.join(parts) or 'makes the show better'}."


def _after_close(show: Show, *, fixed: Plan) -> str:
    count = len(fixed.works)
    hangs = f"{_capital(_works(count))} {_hang(count)}" if count else "No work hangs"
    opening = show.opening_at.astimezone(show.zone)
    shown = f"{hangs} from {opening:%-d %B %Y}."
    if show.state == Show.State.PRINTED:
        return f"{shown} The prints are made and are on their way."
    return f"{shown} Orders are closed, and the prints are being made."

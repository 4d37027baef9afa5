"""What an edit did to the show: the standing before and after, in one sentence."""

from dataclasses import dataclass

from campaign.measures.money import format_minor
from campaign.models import Show
from campaign.queries.money import read_money
from campaign.queries.standing import find_run, load_staircase


@dataclass(frozen=True, slots=True)
class Outlook:
    """The show that money in hand buys, the sum at which the next step starts, and the fullest show there is."""

    works: int
    worth: int
    next_minor: int | None
    full_works: int
    full_worth: int
    full_minor: int


def read_outlook(show: Show) -> Outlook | None:
    """
    The outlook by the newest staircase; None before the first one.

    Three queries, and no work is placed on a wall: the steps of the staircase say it all.
    """
    run = find_run(show)
    if run is None:
        return None
    staircase = load_staircase(run)
    in_hand_minor = read_money(show).in_hand.total_minor
    step, following, top = staircase.at(in_hand_minor), staircase.next_after(in_hand_minor), staircase.steps[-1]
    return Outlook(
        works=_works(step.choice),
        worth=step.worth,
        next_minor=following.money_minor if following else None,
        full_works=_works(top.choice),
        full_worth=top.worth,
        full_minor=top.money_minor,
    )


def is_being_proved(show: Show) -> bool:
    """True while the newest staircase was found fast, and the exact one is still being worked out."""
    run = find_run(show)
    return run is not None and run.is_quick


def describe_effect(show: Show, *, before: Outlook | None, after: Outlook | None, is_proved: bool = True) -> str:
    """
    What changed, in plain words: "At the money in hand: 12 works hang instead of 11; worth 2,950 points instead …".

    Says so as well when nothing changed, because that is what the artist wants to know after an edit.
    """
    if after is None:
        return "The best shows are being worked out."
    ending = "." if is_proved else " (being proved)."
    if before is None:
        return f"{_hang(after.works)} now; the fullest show is {_full(show, after)}{ending}"
    if before == after:
        return f"The plan stays as it was: {_hang(after.works)}{ending}"
    here = _here(show, before=before, after=after)
    there = _top(show, before=before, after=after)
    if here:
        return f"At the money in hand: {'; '.join(here + there)}{ending}"
    return f"At the money in hand {_hang(after.works)} as before; {'; '.join(there)}{ending}"


def _here(show: Show, *, before: Outlook, after: Outlook) -> list[str]:
    """What changed at the money in hand and at the next step."""
    parts: list[str] = []
    if after.works != before.works:
        parts.append(f"{_hang(after.works)} instead of {before.works}")
    elif after.worth != before.worth or after.next_minor != before.next_minor:
        parts.append(f"{_hang(after.works)} as before")
    if after.worth != before.worth:
        parts.append(f"worth {after.worth:,} points instead of {before.worth:,}")
    if after.next_minor != before.next_minor:
        parts.append(_next(show, before=before, after=after))
    return parts


def _next(show: Show, *, before: Outlook, after: Outlook) -> str:
    if after.next_minor is None:
        return "there is no further step"
    instead = "" if before.next_minor is None else f" instead of {_money(show, before.next_minor)}"
    return f"the next step is at {_money(show, after.next_minor)}{instead}"


def _top(show: Show, *, before: Outlook, after: Outlook) -> list[str]:
    """What changed at the top of the staircase."""
    if _full(show, after) != _full(show, before):
        return [f"the fullest show is {_full(show, after)} instead of {_full(show, before)}"]
    if after.full_worth != before.full_worth:
        return [f"the fullest show is worth {after.full_worth:,} points instead of {before.full_worth:,}"]
    return []


def _works(choice: tuple[int, ...]) -> int:
    return sum(index >= 0 for index in choice)


def _hang(works: int) -> str:
    return {0: "no work hangs", 1: "1 work hangs"}.get(works, f"{works} works hang")


def _full(show: Show, outlook: Outlook) -> str:
    works = "1 work" if outlook.full_works == 1 else f"{outlook.full_works} works"
    return f"{works} for {_money(show, outlook.full_minor)}"


def _money(show: Show, minor: int) -> str:
    return format_minor(minor, currency=show.currency, locale=show.locale)

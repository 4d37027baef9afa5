"""What an edit did to the show: the standing before and after, in one sentence."""

from dataclasses import dataclass, field, replace

from campaign.measures.money import format_minor
from campaign.models import Show, StaircaseRun
from campaign.planning import Step
from campaign.queries.money import MoneyPicture, read_money
from campaign.queries.standing import find_run, load_staircase


@dataclass(frozen=True, slots=True)
class Outlook:
    """
    The show that money in hand buys, the sum at which the next step starts, and the fullest show there is.

    `run` is the key of the staircase that says so; one that is not `is_proved` was found fast, the exact one follows,
    and no show for that money is worth more than `bound_worth` and `full_bound_worth`. These do not count when two
    outlooks are compared.
    """

    works: int
    worth: int
    next_minor: int | None
    full_works: int
    full_worth: int
    full_minor: int
    run: int = field(default=0, compare=False)
    is_proved: bool = field(default=True, compare=False)
    bound_worth: int = field(default=0, compare=False)
    full_bound_worth: int = field(default=0, compare=False)


def read_outlook(show: Show, *, run: StaircaseRun | None = None, money: MoneyPicture | None = None) -> Outlook | None:
    """
    The outlook by the newest staircase, or by `run`; None before the first one.

    Three queries, fewer for a caller who has the run or the money; neither is a work placed on a wall nor the request
    made of its text: the steps say it all.
    """
    run = run or find_run(show)
    if run is None:
        return None
    staircase, money_minor = load_staircase(run), (money or read_money(show)).in_hand.total_minor
    here, following, top = staircase.at(money_minor), staircase.next_after(money_minor), staircase.steps[-1]
    return Outlook(
        works=_works(here),
        worth=here.worth,
        next_minor=following.money_minor if following else None,
        full_works=_works(top),
        full_worth=top.worth,
        full_minor=top.money_minor,
        run=run.pk,
        is_proved=not run.is_quick,
        bound_worth=here.bound_worth,
        full_bound_worth=top.bound_worth,
    )


def describe_effect(show: Show, *, before: Outlook | None, after: Outlook | None) -> str:
    """
    What changed, in plain words: "At the money in hand: 12 works hang instead of 11; worth 2,950 points instead …".

    Says so as well when nothing changed, because that is what the artist wants to know after an edit.
    """
    if after is None:
        return "The best shows are being worked out."
    ending = "." if after.is_proved else " (being proved)."
    if before is None:
        return f"{_hang(after.works)} now; the fullest show is {_full(show, after)}{ending}"
    after = _certain(before=before, after=after)
    if before == after:
        return f"The plan stays as it was: {_hang(after.works)}{ending}"
    here = _here(show, before=before, after=after)
    there = _top(show, before=before, after=after)
    if here:
        return f"At the money in hand: {'; '.join(here + there)}{ending}"
    return f"At the money in hand {_hang(after.works)} as before; {'; '.join(there)}{ending}"


def _certain(*, before: Outlook, after: Outlook) -> Outlook:
    """
    `after` without what only its haste may have changed, so that nobody is told of a loss that there is none of.

    A show found fast can be had; that it is worth less than the one before says something only if the bound does too.
    So does a sum only when it moves by more than a hundredth.
    """
    if after.is_proved:
        return after
    if after.worth < before.worth <= after.bound_worth:
        after = replace(after, works=before.works, worth=before.worth, next_minor=before.next_minor)
    elif (after.works, after.worth) == (before.works, before.worth) and _near(before.next_minor, after.next_minor):
        after = replace(after, next_minor=before.next_minor)
    is_lost = after.full_worth < before.full_worth
    if (is_lost and before.full_worth <= after.full_bound_worth) or (
        (after.full_works, after.full_worth) == (before.full_works, before.full_worth)
        and _near(before.full_minor, after.full_minor)
    ):
        after = replace(after, full_works=before.full_works, full_worth=before.full_worth, full_minor=before.full_minor)
    return after


def _near(before_minor: int | None, after_minor: int | None) -> bool:
    return before_minor is not None and after_minor is not None and abs(after_minor - before_minor) * 100 < before_minor


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


def _works(step: Step) -> int:
    return sum(index >= 0 for index in step.choice)


def _hang(works: int) -> str:
    return {0: "no work hangs", 1: "1 work hangs"}.get(works, f"{works} works hang")


def _full(show: Show, outlook: Outlook) -> str:
    works = "1 work" if outlook.full_works == 1 else f"{outlook.full_works} works"
    return f"{works} for {_money(show, outlook.full_minor)}"


def _money(show: Show, minor: int) -> str:
    return format_minor(minor, currency=show.currency, locale=show.locale)

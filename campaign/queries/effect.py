"""What an edit did to the show: the standing before and after, in one sentence."""

from bisect import bisect_right
from dataclasses import dataclass, field, replace
from operator import itemgetter

from campaign.measures.money import format_minor
from campaign.models import Show, StaircaseRun
from campaign.queries.money import read_money
from campaign.queries.plan_request import CODE_VERSION


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


def read_outlook(show: Show) -> Outlook | None:
    """
    The outlook by the newest staircase; None before the first one.

    Three queries; neither is a work placed on a wall nor the request read, because the steps say it all.
    """
    runs = StaircaseRun.objects.filter(show=show, code_version=CODE_VERSION)
    found = runs.order_by("-inputs_version", "is_quick", "-pk").values_list("pk", "is_quick", "steps").first()
    if found is None:
        return None
    run, is_quick, steps = found  # a step is [money_minor, worth, bound_worth, choice], see StaircaseRun
    reached = bisect_right(steps, read_money(show).in_hand.total_minor, key=itemgetter(0))
    here, top = steps[max(reached - 1, 0)], steps[-1]
    following = max(reached, 1)
    return Outlook(
        works=_works(here[3]),
        worth=here[1],
        next_minor=steps[following][0] if following < len(steps) else None,
        full_works=_works(top[3]),
        full_worth=top[1],
        full_minor=top[0],
        run=run,
        is_proved=not is_quick,
        bound_worth=here[2],
        full_bound_worth=top[2],
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


def _works(choice: list[int]) -> int:
    return sum(index >= 0 for index in choice)


def _hang(works: int) -> str:
    return {0: "no work hangs", 1: "1 work hangs"}.get(works, f"{works} works hang")


def _full(show: Show, outlook: Outlook) -> str:
    works = "1 work" if outlook.full_works == 1 else f"{outlook.full_works} works"
    return f"{works} for {_money(show, outlook.full_minor)}"


def _money(show: Show, minor: int) -> str:
    return format_minor(minor, currency=show.currency, locale=show.locale)

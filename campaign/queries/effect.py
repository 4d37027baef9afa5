"""What an edit did to the show: the standing before and after, in one sentence."""

from dataclasses import dataclass

from campaign.measures.money import format_minor
from campaign.models import Show
from campaign.queries.standing import read_standing


@dataclass(frozen=True, slots=True)
class Outlook:
    """The show that money in hand buys, and the fullest one there is."""

    works: int
    worth: int
    full_works: int
    full_worth: int
    full_minor: int


def read_outlook(show: Show) -> Outlook | None:
    """The outlook by the newest staircase; None before the first one."""
    standing = read_standing(show)
    if standing.now is None or standing.staircase is None:
        return None
    top = standing.staircase.steps[-1]
    return Outlook(
        works=len(standing.now.works),
        worth=standing.now.worth,
        full_works=sum(index >= 0 for index in top.choice),
        full_worth=top.worth,
        full_minor=top.money_minor,
    )


def describe_effect(show: Show, *, before: Outlook | None, after: Outlook | None) -> str:
    """
    What changed, in plain words: "9 works hang now (8 before); the fullest show …".

    Says so as well when nothing changed, because that is what the artist wants to know after an edit.
    """
    if after is None:
        return "The best shows are being worked out."
    if before is None:
        return f"{_hang(after.works)} now; the fullest show is {_full(show, after)}."
    if before == after:
        return f"The plan stays as it was: {_hang(after.works)}."
    parts: list[str] = []
    if after.works != before.works:
        parts.append(f"{_hang(after.works)} now ({before.works} before)")
    elif after.worth != before.worth:
        parts.append(f"{_hang(after.works)} as before, now worth {after.worth:,} points ({before.worth:,} before)")
    else:
        parts.append(f"With the money in hand {_hang(after.works)} as before")
    if _full(show, after) != _full(show, before):
        parts.append(f"the fullest show is {_full(show, after)} (before: {_full(show, before)})")
    elif after.full_worth != before.full_worth:
        parts.append(f"the fullest show is worth {after.full_worth:,} points ({before.full_worth:,} before)")
    return "; ".join(parts) + "."


def _hang(works: int) -> str:
    return {0: "no work hangs", 1: "1 work hangs"}.get(works, f"{works} works hang")


def _full(show: Show, outlook: Outlook) -> str:
    works = "1 work" if outlook.full_works == 1 else f"{outlook.full_works} works"
    return f"{works} for {format_minor(outlook.full_minor, currency=show.currency, locale=show.locale)}"

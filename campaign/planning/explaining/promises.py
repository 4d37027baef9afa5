"""Whether what a level promised is still what its money buys; wording for the public is not here."""

from dataclasses import dataclass
from enum import StrEnum

from campaign.planning.explaining.landings import hung_count
from campaign.planning.results import Staircase


class PromiseState(StrEnum):
    """
    UNMEASURED: nothing was written down when it was made; WEAKER: as many works hang, but the show is worth less;
    BROKEN: fewer works hang.
    """

    UNMEASURED = "unmeasured"
    HOLDS = "holds"
    WEAKER = "weaker"
    BROKEN = "broken"


@dataclass(frozen=True, slots=True)
class Judgement:
    """
    A promise against a staircase: what its money buys now, and at which sum it would hold (None: at none).

    `holds_at_minor` is a step that hangs as many works in a show of no less worth: the first from the level's sum on,
    or else the last below it. Where the promise holds it is of no interest.
    """

    state: PromiseState
    money_minor: int
    promised_works: int
    promised_worth: int
    works: int
    worth: int
    holds_at_minor: int | None

    @property
    def is_kept(self) -> bool:
        """Whether there is nothing to tell the artist."""
        return self.state in (PromiseState.HOLDS, PromiseState.UNMEASURED)


def judge_promise(staircase: Staircase, *, money_minor: int, promised_works: int, promised_worth: int) -> Judgement:
    """
    A level's promise against the staircase as it is now.

    Parameters: promised_works and promised_worth, of the plan the promise was written from; both 0: not known.
    Notes: a promise is judged at its own sum; that still more money may hang fewer and larger works breaks none.
    """
    step = staircase.at(money_minor)
    works = hung_count(step)
    if promised_works == 0 and promised_worth == 0:
        state = PromiseState.UNMEASURED
    elif works < promised_works:
        state = PromiseState.BROKEN
    elif step.worth < promised_worth:
        state = PromiseState.WEAKER
    else:
        state = PromiseState.HOLDS
    holding = [
        other.money_minor
        for other in staircase.steps
        if hung_count(other) >= promised_works and other.worth >= promised_worth
    ]
    above = [minor for minor in holding if minor >= money_minor]
    return Judgement(
        state=state,
        money_minor=money_minor,
        promised_works=promised_works,
        promised_worth=promised_worth,
        works=works,
        worth=step.worth,
        holds_at_minor=min(above) if above else max(holding, default=None),
    )

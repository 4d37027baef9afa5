"""A good show with one more work, by small exchanges from the shows of a staircase; not proved best."""

from collections.abc import Iterator

from campaign.planning.choosing.feasible import Choice, Feasibility, keeps_rules, worth_of
from campaign.planning.inputs import PlanRequest
from campaign.planning.results import Staircase, Step

MOST_BASES = 12
MOST_LOOKS = 2_000


def swap_in(request: PlanRequest, staircase: Staircase, *, place: int, money_minor: int) -> Step | None:
    """
    A feasible show within the money in which the work at `place` hangs.

    Returns: the best of those that differ from one of the last 12 steps up to the money only in that work and in at
        most one other, which is taken down or hung in what is worth no more; None where none of the 2,000 best of
        them that keep the rules is feasible. Its bound is its worth: nothing is said about better ones.
    Notes: of equal worth the first met: dearer steps, earlier options, earlier works first.
    """
    found = sorted(
        _exchanges(request, staircase, place=place, money_minor=money_minor),
        key=lambda one: -one[0],
    )
    test, looks = Feasibility(request), 0
    for worth, choice in dict.fromkeys(found):
        if not keeps_rules(request, choice):
            continue
        looks += 1
        if looks > MOST_LOOKS:
            return None
        cost_minor = test.cost_minor(choice, most_minor=money_minor)
        if cost_minor is not None:
            return Step(cost_minor, worth, choice, worth)
    return None


def _exchanges(
    request: PlanRequest, staircase: Staircase, *, place: int, money_minor: int
) -> Iterator[tuple[int, Choice]]:
    """Worth and choice of every show that is one or two changes away; not all are feasible."""
    last = staircase.index_at(money_minor)
    for step in reversed(staircase.steps[max(0, last - MOST_BASES + 1) : last + 1]):
        for picked in range(len(request.works[place].options)):
            choice = (*step.choice[:place], picked, *step.choice[place + 1 :])
            worth = worth_of(request, choice)
            yield worth, choice
            for other, work in enumerate(request.works):
                now = choice[other]
                if other == place or now < 0:
                    continue
                for otherwise in (-1, *range(len(work.options))):
                    gain = (work.options[otherwise].worth if otherwise >= 0 else 0) - work.options[now].worth
                    if otherwise != now and gain <= 0:
                        yield worth + gain, (*choice[:other], otherwise, *choice[other + 1 :])

"""Natural landing places of a staircase: sums at which much has been gained for little; none of them is a level yet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from campaign.measures.words import join_words, lower_first, name_some, spell, upper_first
from campaign.planning.results import Plan, Staircase, Step

MOST_LANDINGS = 4
TITLES_NAMED = 3


@dataclass(frozen=True, slots=True)
class Landing:
    """
    A step of the staircase that is worth stopping at.

    The last `reach_minor` before it brought `brought_worth` points, the next `reach_minor` bring only `coming_worth`.
    """

    money_minor: int
    worth: int
    works: int
    reach_minor: int
    brought_worth: int
    coming_worth: int

    @property
    def gain(self) -> int:
        """How sharply the staircase flattens here, in points."""
        return self.brought_worth - self.coming_worth


def find_landings(staircase: Staircase, *, most: int = MOST_LANDINGS) -> tuple[Landing, ...]:
    """
    The sums at which the staircase flattens most, spread over its range.

    Parameters: most, how many at the most, >= 1.
    Returns: landings by rising money, any two at least one reach apart (a reach is the range of the staircase
        over 2 x most), each with a gain. Each is an upper left corner: no mixture of a cheaper and a dearer show
        gives more for its money. None where nothing can hang for money.
    Notes: deterministic; of two that flatten alike the cheaper one. O(n log n) for n steps.
    """
    steps = staircase.steps
    corners = [place for place in upper_corners(steps) if steps[place].money_minor > 0]
    if not corners:
        return ()
    first = next(step.money_minor for step in steps if step.money_minor > 0)
    reach = max((steps[-1].money_minor - first) // (2 * most), 1)
    found = (_landing(staircase, step=steps[place], reach_minor=reach) for place in corners)
    chosen: list[Landing] = []
    for landing in sorted((one for one in found if one.gain > 0), key=lambda one: (-one.gain, one.money_minor)):
        if len(chosen) < most and all(abs(landing.money_minor - other.money_minor) >= reach for other in chosen):
            chosen.append(landing)
    return tuple(sorted(chosen, key=lambda one: one.money_minor))


def upper_corners(steps: Sequence[Step]) -> tuple[int, ...]:
    """
    Places of the steps on the upper left hull of (money, worth), cheapest first.

    Source: the upper half of Andrew's monotone chain (Inf. Proc. Letters 9, 1979), from memory.
    """
    hull: list[int] = []
    for place, step in enumerate(steps):
        while len(hull) >= 2 and not _turns_down(steps[hull[-2]], steps[hull[-1]], step):
            hull.pop()
        hull.append(place)
    return tuple(hull)


def _turns_down(one: Step, two: Step, three: Step) -> bool:
    """Whether the way from one to two is steeper than that from two to three."""
    rise, run = two.worth - one.worth, two.money_minor - one.money_minor
    return rise * (three.money_minor - two.money_minor) > (three.worth - two.worth) * run


def _landing(staircase: Staircase, *, step: Step, reach_minor: int) -> Landing:
    return Landing(
        money_minor=step.money_minor,
        worth=step.worth,
        works=hung_count(step),
        reach_minor=reach_minor,
        brought_worth=step.worth - staircase.at(step.money_minor - reach_minor).worth,
        coming_worth=staircase.at(step.money_minor + reach_minor).worth - step.worth,
    )


def hung_count(step: Step) -> int:
    """How many works a step hangs."""
    return sum(index >= 0 for index in step.choice)


def write_promise(plan: Plan, *, finish_names: Mapping[str, str]) -> str:
    """
    The plan in the words of a promise, for the artist to change: how many works, in which finishes, some titles.

    Parameters: finish_names by code; a code without one is left out of the words.
    Returns: one sentence; the works worth most are named, in their own order.
    """
    count = len(plan.works)
    if count == 0:
        return "Nothing hangs yet."
    counts: dict[str, int] = {}
    for work in plan.works:
        if work.finish_code in finish_names:
            counts[work.finish_code] = counts.get(work.finish_code, 0) + 1
    best = sorted(plan.works, key=lambda work: -work.worth)[:TITLES_NAMED]
    named = [work.title for work in plan.works if work in best]
    if count <= TITLES_NAMED + 1:
        titles = name_some([work.title for work in plan.works])
    else:
        titles = f"among them {name_some(named)}"
    what = f"{upper_first(spell(count))} {'work hangs' if count == 1 else 'works hang'}"
    return f"{what}{_finish_words(counts, count=count, names=finish_names)}: {titles}."


def _finish_words(counts: Mapping[str, int], *, count: int, names: Mapping[str, str]) -> str:
    """In one finish: its name; in several: how many in each, the most frequent first."""
    if not counts:
        return ""
    ordered = sorted(counts.items(), key=lambda one: -one[1])
    if len(ordered) == 1 and ordered[0][1] == count:
        return f", {lower_first(names[ordered[0][0]])}"
    return ", " + join_words([f"{spell(number)} {lower_first(names[code])}" for code, number in ordered])

"""The staircase of a show: which works hang, in which size and finish, for every sum of money; no drawing, no prose."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from campaign.planning.arrays import IntArray
from campaign.planning.choosing.effort import AFTER_EDIT, FEW_WORKS, QUICK, Effort, effort_for
from campaign.planning.choosing.field import Field
from campaign.planning.choosing.forms import with_forms
from campaign.planning.choosing.frontier import LABEL_LIMIT, Frontier, Guide, find_frontier
from campaign.planning.choosing.hanging import Hangs
from campaign.planning.choosing.model import Model
from campaign.planning.choosing.selection import Steps
from campaign.planning.choosing.tree import Tree
from campaign.planning.inputs import PlanRequest
from campaign.planning.placing.places import HangingTest
from campaign.planning.results import Staircase, Step

# The search that tests every choice for hanging grows faster; it is kept to about the time of the first one.
HANGING_LABEL_LIMIT = 12_000
HANGING_PAIR_LIMIT = 500_000
_QUICK_LABELS = 1_000


def build_staircase(request: PlanRequest, *, label_limit: int = LABEL_LIMIT) -> Staircase:
    """
    All best shows from nothing to everything.

    Parameters: label_limit, how many partial choices may be carried along where costs add up; more takes longer and
        proves more. Elsewhere effort.py says how much may be done.
    Returns: steps rising in money and worth. The first costs nothing and hangs nothing, unless works hang for free.
        Money is the whole cost: show cost, works, purchases in packs, charges. A step that is not proved carries its
        bound.
    Raises: InvalidRequest when more than 62 finishes are on offer, or a supply takes more than 200,000 packs.
    Notes: exact as far as the effort reaches, bounded beyond; no clock and no chance, so the same request gives the
        same bytes. Ties go to less money, then fewer finishes, then the earlier work, then the earlier option.
    Source: method in frontier.py and tree.py; checked against published instances in tests/outside/test_knapsack.py.
    """
    field = Field.of(request)
    if field.is_hopeless:
        return _nothing_hangs(request)
    model = Model.of(field)
    quick = _quick_frontier(model, label_limit=min(label_limit, _QUICK_LABELS))
    if model.is_plain:
        exact = _with_show_cost(_plain_frontier(model, label_limit=label_limit), request=request)
    else:
        exact = _whole_frontier(model, effort=effort_for(len(field.members)), begun=quick.choices)
    return Staircase(steps=tuple(_steps(_better_of(exact, quick), field=field)))


def quick_staircase(request: PlanRequest, *, known: Sequence[Sequence[int]] = ()) -> Staircase:
    """
    Good shows found at once, each with its bound: the same as `build_staircase` where that is quick to prove.

    Parameters: known, choices of shows that were good before a change, an option index per work and -1 for not hung;
        they are what the search begins from, as far as they can still be had.
    """
    field = Field.of(request)
    if field.is_hopeless:
        return _nothing_hangs(request)
    frontier = _quick_frontier(Model.of(field), label_limit=_QUICK_LABELS, known=field.picks(known))
    return Staircase(steps=tuple(_steps(frontier, field=field)))


def _nothing_hangs(request: PlanRequest) -> Staircase:
    return Staircase(steps=(Step(0, 0, (-1,) * len(request.works), 0),))


def _quick_frontier(model: Model, *, label_limit: int, known: IntArray | None = None) -> Frontier:
    has_few = len(model.groups) <= FEW_WORKS
    if model.is_plain and has_few:
        return _with_show_cost(_plain_frontier(model, label_limit=label_limit), request=model.field.request)
    if known is None or not len(known):
        return _whole_frontier(model, effort=QUICK)
    return _whole_frontier(model, effort=QUICK if has_few else AFTER_EDIT, begun=known)


def _with_show_cost(frontier: Frontier, *, request: PlanRequest) -> Frontier:
    return replace(frontier, costs=frontier.costs + np.where(frontier.worths > 0, request.show_cost_minor, 0))


def _better_of(exact: Frontier, quick: Frontier) -> Frontier:
    """
    At every sum the better show of the two, and the lower bound.

    Notes: where both are worth the same for the same money it is the one of `exact`, which minds ties.
    """
    costs, worths = np.concatenate([exact.costs, quick.costs]), np.concatenate([exact.worths, quick.worths])
    choices = np.concatenate([exact.choices, quick.choices])
    order = np.lexsort((np.arange(len(costs)), -worths, costs))
    best = np.maximum.accumulate(worths[order])
    kept = order[np.concatenate([[True], worths[order][1:] > best[:-1]])]
    ends = np.append(costs[kept][1:] - 1, costs.max())
    bounds = np.minimum(_bounds_at(exact, ends), _bounds_at(quick, ends))
    return Frontier(costs[kept], worths[kept], choices[kept], bounds=bounds)


def _bounds_at(frontier: Frontier, budgets: IntArray) -> IntArray:
    """What a frontier says can be had at most; more money never lowers it."""
    return frontier.bounds[np.maximum(np.searchsorted(frontier.costs, budgets, side="right") - 1, 0)]


def _plain_frontier(model: Model, *, label_limit: int) -> Frontier:
    """
    The frontier of choices that can be hung, where costs add up.

    First all stretches count as one long wall; what comes out bounds the truth from above. Where one of its steps
    cannot be hung, the search is repeated with hanging as a test, told what is already settled.
    """
    field = model.field
    capacities = [resource.capacity or 0 for resource in model.rules.resources]
    loose = find_frontier(model.groups, capacities=capacities, guide=Guide(label_limit=label_limit))
    test = HangingTest(field.request)
    if len(field.stretches) == 1 and test.is_plain:
        return loose

    def hangs(choice: Sequence[int]) -> bool | None:
        return test.hangs(field.choice(choice))

    sound = np.array([hangs(choice) is True for choice in loose.choices.tolist()])
    if sound.all():
        return loose
    groups = with_forms(model.groups, field=field)
    return find_frontier(
        groups,
        capacities=capacities,
        known=Steps.chosen(groups, choices=loose.choices[sound]),
        guide=Guide(
            accept=hangs,
            ceiling=_ceiling(Steps.chosen(groups, choices=loose.choices), bounds=loose.bounds),
            label_limit=min(label_limit, HANGING_LABEL_LIMIT),
            pair_limit=HANGING_PAIR_LIMIT,
        ),
    )


def _ceiling(steps: Steps, *, bounds: IntArray) -> Steps:
    """Where the first search stopped early, its bounds are the ceiling, not its choices."""
    return replace(steps, worths=np.maximum.accumulate(bounds))


def _whole_frontier(model: Model, *, effort: Effort, begun: IntArray | None = None) -> Frontier:
    """
    The same where supplies come in packs, finishes charge, or rules tie works together.

    Choices that miss only the walls are changed a little until they hang, before the search is repeated.

    Parameters: begun, choices (N, n) to begin from.
    """
    tries_all = effort.is_thorough and len(model.groups) <= FEW_WORKS
    loose = Tree(model, groups=model.groups, guide=Guide(), effort=effort, known=_nothing(model))
    if begun is not None:
        loose.keep(begun)
    root = loose.grow()
    steps, bounds = loose.steps, loose.bounds()
    hangs = Hangs(model, HangingTest(model.field.request), tests=effort.tests, searches=effort.searches)
    if root is None or hangs.is_certain:
        return Frontier(costs=steps.costs, worths=steps.worths, choices=steps.choices, bounds=bounds)
    sound = np.array([verdict is True for verdict in hangs.of_all(steps.choices)])
    if sound.all():
        return Frontier(costs=steps.costs, worths=steps.worths, choices=steps.choices, bounds=bounds)
    ceiling = _ceiling(steps, bounds=bounds)
    known = _with_nothing(
        model, Steps(steps.costs[sound], steps.worths[sound], steps.marks[sound], steps.choices[sound])
    )
    groups = with_forms(model.groups, field=model.field) if effort.is_thorough else model.groups
    tree = Tree(model, groups=groups, guide=Guide(accept=hangs, ceiling=ceiling), effort=effort, known=known)
    missing = steps.choices[~sound]
    missing = missing[np.linspace(0, len(missing) - 1, min(len(missing), effort.repairs)).astype(int)]
    mended = [kept for kept in (hangs.taken_down(picks) for picks in missing.tolist()) if kept is not None]
    tree.keep(np.array(mended, dtype=np.int64).reshape(len(mended), len(model.groups)))
    if begun is not None and not tries_all:
        tree.keep(begun)
    if effort.is_thorough:
        tree.climb(steps.choices[~sound])
    if tries_all:
        tree.grow(root=root)
        return Frontier(tree.steps.costs, tree.steps.worths, tree.steps.choices, bounds=tree.bounds())
    steps = tree.steps
    return Frontier(steps.costs, steps.worths, steps.choices, bounds=ceiling.worth_at(steps.ends))


def _with_nothing(model: Model, steps: Steps) -> Steps:
    """Nothing hung costs nothing: it stands first again where a free choice that cannot be hung had beaten it."""
    if len(steps.costs) and steps.costs[0] == 0:
        return steps
    first = _nothing(model)
    return Steps(
        costs=np.concatenate([first.costs, steps.costs]),
        worths=np.concatenate([first.worths, steps.worths]),
        marks=np.concatenate([first.marks, steps.marks]),
        choices=np.concatenate([first.choices, steps.choices]),
    )


def _nothing(model: Model) -> Steps:
    zero = np.zeros(1, dtype=np.int64)
    picks = np.array([[len(group.costs) - 1 for group in model.groups]], dtype=np.int64)
    return Steps(costs=zero, worths=zero, marks=zero, choices=picks)


def _steps(frontier: Frontier, *, field: Field) -> list[Step]:
    """Steps of the whole show: all works, nothing hung as the first step."""
    nothing = (-1,) * len(field.request.works)
    rows = zip(
        frontier.costs.tolist(),
        frontier.worths.tolist(),
        map(tuple, field.choices(frontier.choices).tolist()),
        frontier.bounds.tolist(),
        strict=True,
    )
    steps = [Step(0, 0, nothing, 0)]
    for cost, worth, choice, bound in rows:
        if worth == 0:
            steps = [Step(0, 0, nothing, bound)]
            continue
        if cost == 0:
            steps = []
        steps.append(Step(cost, worth, choice, bound))
    return steps

"""What the studio's standing page says in sentences: where the show is, what the next step is, what to do about it."""

from collections.abc import Sequence

from campaign.measures.money import format_minor, portion_bp
from campaign.measures.words import join_words, name_some
from campaign.models import Edition, Pledge, Show
from campaign.planning import Plan
from campaign.planning.prices import pricing
from campaign.queries.standing import Standing


def list_open_pledges(show: Show, *, limit: int = 5) -> list[Pledge]:
    """Orders that wait for payment, the one whose time ends first on top."""
    return list(show.pledges.filter(state=Pledge.State.HELD).order_by("hold_until_at")[:limit])


def standing_sentence(standing: Standing, *, plan: Plan | None) -> str:
    """Where the show stands, in one sentence."""
    show = standing.show
    if plan is None or standing.request is None:
        return "The best shows are being worked out for the first time; look again in a few seconds."
    in_hand, total = _money(standing.in_hand_minor, show=show), len(standing.request.works)
    if show.closed_at is not None:
        return (
            f"The campaign is closed and the plan is fixed: {_hang(len(plan.works), of=total)}, "
            f"for {_money(plan.cost_minor, show=show)} of the {_money(plan.money_minor, show=show)} there was."
        )
    sentence = f"With {in_hand} of wall money in hand, {_hang(len(plan.works), of=total)}"
    return f"{sentence}{_if_paid_words(standing, plan=plan)}."


def _if_paid_words(standing: Standing, *, plan: Plan) -> str:
    """What the open orders would change; empty where they would change nothing."""
    then, count = standing.if_paid, standing.money.open_pledges
    if then is None or then.worth <= plan.worth:
        return ""
    orders = "the open order is paid" if count == 1 else f"all {count} open orders are paid"
    if len(then.works) == len(plan.works):
        return f"; once {orders}, the same number hangs in better sizes or finishes"
    return f"; once {orders}, {len(then.works)}"


def next_step_sentence(standing: Standing, *, plan: Plan | None) -> str:
    """What the next step of the staircase costs and brings; empty once the campaign is closed."""
    if plan is None or standing.request is None or standing.show.closed_at is not None:
        return ""
    if plan.next_money_minor is None:
        if not plan.works:
            return "No sum of money hangs anything, as things are measured and priced now."
        return "This is the best show there is: more money would not change it."
    more = _money(plan.next_money_minor - standing.in_hand_minor, show=standing.show)
    titles = {work.code: work.title for work in standing.request.works}
    parts = [
        words
        for codes, words in (
            (plan.next_added_codes, f"hangs {name_some([titles[code] for code in plan.next_added_codes])}"),
            (
                plan.next_changed_codes,
                f"shows {name_some([titles[code] for code in plan.next_changed_codes])} in a better size or finish",
            ),
            (plan.next_removed_codes, f"takes down {name_some([titles[code] for code in plan.next_removed_codes])}"),
        )
        if codes
    ]
    return f"{more} more {join_words(parts)}.{_next_works_words(standing, plan=plan)}"


def _next_works_words(standing: Standing, *, plan: Plan) -> str:
    """Where the very next step hangs no more works than now: the first one that does. Empty otherwise."""
    assert standing.staircase is not None, "a plan came from a staircase"
    beyond = [step for step in standing.staircase.steps if step.money_minor > plan.money_minor]
    counts = [sum(index >= 0 for index in step.choice) for step in beyond]
    first = next((number for number, count in enumerate(counts) if count > len(plan.works)), 0)
    if first == 0:
        return ""
    more = _money(beyond[first].money_minor - standing.in_hand_minor, show=standing.show)
    added = counts[first] - len(plan.works)
    return f" {more} more hangs {'one more work' if added == 1 else f'{added} more works'}."


def what_to_do(standing: Standing, *, editions: Sequence[Edition], open_pledges: Sequence[Pledge]) -> str:
    """The most useful thing to do now, in one or two sentences; empty before the page is public (see next_act)."""
    show, level = standing.show, standing.next_level
    if show.state == Show.State.DRAFT:
        return ""
    if show.closed_at is not None:
        return "Print what hangs and what was ordered: the work goes on in the room Print."
    parts: list[str] = []
    if level:
        missing = _money(level.missing_minor, show=show)
        parts.append(f"{missing} is missing to “{level.level.name}”{_copies_words(standing, editions=editions)}")
    else:
        parts.append("Every level is reached")
    if standing.money.open_pledges:
        parts.append(_open_words(standing, open_pledges=open_pledges))
    return ". ".join(parts) + "."


def net_of_copy(edition: Edition, *, show: Show) -> int:
    """
    What one more copy adds to wall money, minor units, postage taken as even; may be below zero.

    The fee that the artist expects is taken off, as on the page of the print's price.
    """
    terms = pricing.CopyTerms(
        make_minor=edition.make_cost_minor, pack_minor=edition.pack_cost_minor, fee_bp=show.fee_bp,
        fee_fixed_minor=show.fee_fixed_minor, set_aside_bp=show.set_aside_bp,
    )  # fmt: skip
    net = pricing.net_minor(terms, price_minor=edition.price_minor, zone=pricing.PostZone("postage apart"))
    return net - portion_bp(max(0, net), bp=show.contingency_bp)


def _copies_words(standing: Standing, *, editions: Sequence[Edition]) -> str:
    level = standing.next_level
    best = max(editions, key=lambda edition: net_of_copy(edition, show=standing.show), default=None)
    if level is None or best is None:
        return ""
    net_minor = net_of_copy(best, show=standing.show)
    if net_minor <= 0:
        return f"; a copy of “{best.title}” costs more than it brings, so look at its price"
    copies = -(-level.missing_minor // net_minor)
    brings = f"each brings {_money(net_minor, show=standing.show)}, postage apart"
    if copies > standing.copies_free:
        return f": {copies} copies of “{best.title}” would do it ({brings}), and {standing.copies_free} are free"
    return f": {copies} more {'copy' if copies == 1 else 'copies'} of “{best.title}” would do it ({brings})"


def _open_words(standing: Standing, *, open_pledges: Sequence[Pledge]) -> str:
    money, show = standing.money, standing.show
    people = "1 order waits" if money.open_pledges == 1 else f"{money.open_pledges} orders wait"
    words = f"{people} for {_money(money.open_minor, show=show)}"
    if open_pledges:
        first = open_pledges[0]
        words += f"; the first to end is that of {first.name}, on {first.hold_until_at.astimezone(show.zone):%-d %B}"
    return words


def _hang(works: int, *, of: int) -> str:
    return f"{works} of {of} works {'hangs' if works == 1 else 'hang'}" if works else _none_hangs(of=of)


def _none_hangs(*, of: int) -> str:
    return f"none of the {of} works hangs yet" if of else "no work is listed yet"


def _money(minor: int, *, show: Show) -> str:
    return format_minor(minor, currency=show.currency, locale=show.locale)

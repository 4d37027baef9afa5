"""Whether the promises of the levels still hold, in sentences; also for checks outside a page."""

from dataclasses import dataclass

from campaign.measures.money import format_minor
from campaign.measures.words import count_of
from campaign.models import Level, Show
from campaign.planning import Staircase
from campaign.planning.explaining.promises import Judgement, PromiseState, judge_promise
from campaign.queries.standing import Standing, find_run, load_staircase


@dataclass(frozen=True, slots=True)
class BrokenPromise:
    """
    A level that holds no longer, or only a weaker show.

    `move_to_minor` is the sum at which it would hold, None where no sum does or another level stands there;
    `public_words` is what the public page still says, empty while there is no page or nothing is said.
    """

    number: int
    level: Level
    judged: Judgement
    sentence: str
    move_to_minor: int | None
    public_words: str

    @property
    def is_weaker(self) -> bool:
        """As many works hang as promised, in a show worth less."""
        return self.judged.state == PromiseState.WEAKER


def list_broken_promises(show: Show) -> tuple[BrokenPromise, ...]:
    """The promises of `show` that the newest staircase does not keep; see check_promises. Two queries."""
    run = find_run(show)
    if run is None or run.is_quick:
        return ()
    return _check(show, levels=list(show.levels.all()), staircase=load_staircase(run))


def check_promises(standing: Standing) -> tuple[BrokenPromise, ...]:
    """
    The levels whose promise does not hold on the staircase of a standing, by rising money. No query.

    A staircase that was found fast could hang more once it is exact, so nothing is said before; nor once the campaign
    is closed: the fixed plan is what hangs then.
    """
    if standing.staircase is None or standing.is_quick:
        return ()
    return _check(standing.show, levels=[one.level for one in standing.levels], staircase=standing.staircase)


def _check(show: Show, *, levels: list[Level], staircase: Staircase) -> tuple[BrokenPromise, ...]:
    if show.closed_at is not None:
        return ()
    taken = {level.money_minor for level in levels}
    broken = []
    for number, level in enumerate(levels, start=1):
        judged = judge_promise(
            staircase,
            money_minor=level.money_minor,
            promised_works=level.promised_works,
            promised_worth=level.promised_worth,
        )
        if not judged.is_kept:
            is_public = show.state != Show.State.DRAFT
            broken.append(
                BrokenPromise(
                    number=number,
                    level=level,
                    judged=judged,
                    sentence=_sentence(level, judged=judged, show=show),
                    move_to_minor=None if judged.holds_at_minor in taken else judged.holds_at_minor,
                    public_words=level.promise if is_public else "",
                )
            )
    return tuple(broken)


def _sentence(level: Level, *, judged: Judgement, show: Show) -> str:
    at = format_minor(level.money_minor, currency=show.currency, locale=show.locale)
    works = count_of(judged.promised_works, "work")
    if judged.state == PromiseState.WEAKER:
        hang = "as many hang" if judged.works == judged.promised_works else f"{judged.works} hang"
        return (
            f"“{level.name}” promised {works} worth {judged.promised_worth:,} points; at {at} {hang}, worth "
            f"{judged.worth:,}{_way_out(judged, show=show, less='see whether its words still hold')}."
        )
    now = "none hangs" if judged.works == 0 else "only 1 hangs" if judged.works == 1 else f"only {judged.works} hang"
    less = f"promise {judged.works}" if judged.works else "take it off"
    return f"“{level.name}” promised {works}; at {at} {now} now{_way_out(judged, show=show, less=less)}."


def _way_out(judged: Judgement, *, show: Show, less: str) -> str:
    """What the artist can do about it."""
    if judged.holds_at_minor is None:
        return f", and no sum of money keeps it: {less}"
    to = format_minor(judged.holds_at_minor, currency=show.currency, locale=show.locale)
    verb = "raise it" if judged.holds_at_minor > judged.money_minor else "lower it"
    return f": {verb} to {to} or {less}"

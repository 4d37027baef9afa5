"""What levels promised, measured: from which plan the words were written, and what to do when they hold no longer."""

from django.db import transaction

from campaign.errors import NotInThisState, NotReady
from campaign.models import Level, Show
from campaign.planning import Staircase
from campaign.planning.explaining.landings import hung_count
from campaign.queries.standing import find_run, load_staircase

OPEN_STATES = (Show.State.DRAFT, Show.State.OPEN)


def read_measure(show: Show) -> Staircase | None:
    """The staircase that promises of `show` are measured on: the exact one of its inputs as they are, else None."""
    run = find_run(show)
    if run is None or run.is_quick or run.inputs_version != show.inputs_version:
        return None
    return load_staircase(run)


def measured(staircase: Staircase | None, *, money_minor: int) -> dict[str, int]:
    """The fields of a level that say what its money buys; zeros, for not known, without a staircase."""
    if staircase is None:
        return {"promised_works": 0, "promised_worth": 0}
    step = staircase.at(money_minor)
    return {"promised_works": hung_count(step), "promised_worth": step.worth}


def measure_new_promises(show: Show, *, staircase: Staircase) -> None:
    """
    Levels whose words came before the exact staircase promise what it says. Inside a transaction.

    Writes: Level; nothing if an edit has made `show`, and so `staircase`, an old one: the next one measures then.
    """
    if not Show.objects.filter(pk=show.pk, inputs_version=show.inputs_version).exists():
        return
    for level in show.levels.filter(promised_works=0, promised_worth=0):
        Level.objects.filter(pk=level.pk).update(**measured(staircase, money_minor=level.money_minor))


@transaction.atomic(durable=True)
def move_level(*, show: Show, money_minor: int, to_minor: int) -> Level:
    """
    Move the level at `money_minor` to the sum at which its promise holds.

    Writes: Level.
    Raises: NotInThisState once the campaign is closed; NotReady if there is no such level or the sum is taken.
    Repeat: a second call finds no level there and says so.
    """
    level = _level(show, money_minor=money_minor)
    if show.levels.filter(money_minor=to_minor).exists():
        raise NotReady("Another level stands at this sum already. Give one of them another sum first.")
    Level.objects.filter(pk=level.pk).update(money_minor=to_minor)
    level.refresh_from_db()
    return level


@transaction.atomic(durable=True)
def promise_less(*, show: Show, money_minor: int) -> Level:
    """
    Promise what the level's money buys now; its words stay the artist's to change.

    Writes: Level.
    Raises: NotInThisState once the campaign is closed; NotReady if there is no such level, or while the exact
        staircase is being worked out.
    Repeat: the same.
    """
    level = _level(show, money_minor=money_minor)
    staircase = read_measure(level.show)
    if staircase is None:
        raise NotReady("The best shows are still being worked out. Try again when they are proved.")
    Level.objects.filter(pk=level.pk).update(**measured(staircase, money_minor=money_minor))
    level.refresh_from_db()
    return level


def _level(show: Show, *, money_minor: int) -> Level:
    current = Show.objects.get(pk=show.pk)
    if current.state not in OPEN_STATES:
        raise NotInThisState(what="The campaign", state=current.get_state_display())
    level = current.levels.filter(money_minor=money_minor).first()
    if level is None:
        raise NotReady("There is no level at this sum any more. Look at the levels again.")
    return level

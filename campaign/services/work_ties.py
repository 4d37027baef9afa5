"""What the artist says of a work beside itself: its own worth in one size and finish, and its ties to other works."""

from collections.abc import Mapping

from django.db import transaction
from django.db.models import Q, QuerySet

from campaign.errors import NotReady
from campaign.models import OptionWorth, Show, Work, WorkPair
from campaign.services.inputs import open_inputs


@transaction.atomic(durable=True)
def set_worths(*, show: Show, work: Work, worths: Mapping[tuple[str, str], int | None]) -> None:
    """
    Keep the artist's own worth by (size code, finish code); None goes back to need × finish × size factor.

    Writes: OptionWorth; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: the same worths again change nothing.
    """
    current = open_inputs(show, doing=f"The worth of “{work.title}” was changed")
    sizes = {size.code: size for size in work.sizes.all()}
    finishes = {finish.code: finish for finish in current.finishes.all()}
    known = {(own.size.code, own.finish.code): own for own in work.option_worths.select_related("size", "finish")}
    for (size, finish), worth in worths.items():
        own = known.get((size, finish))
        if own and worth is None:
            own.delete()
        elif worth is not None and size in sizes and finish in finishes and (own is None or own.worth != worth):
            OptionWorth.objects.update_or_create(
                work=work, size=sizes[size], finish=finishes[finish], defaults={"worth": worth}
            )


@transaction.atomic(durable=True)
def tie_works(*, show: Show, work: Work, other_code: str, kind: str) -> None:
    """
    Say that two works must not hang side by side ("apart"), or hang on the same wall ("together").

    Writes: WorkPair; Show.inputs_version.
    Raises: PlanIsFixed; NotReady for a work and itself, or one that is gone.
    Repeat: a tie that is there, in whichever order of the two, stays as it is.
    """
    current = open_inputs(show, doing=f"A tie of “{work.title}” was added")
    other = current.works.filter(code=other_code).exclude(pk=work.pk).first()
    if other is None:
        raise NotReady("Choose another work of this show. Nothing was changed.")
    if not _ties(work, other_code=other_code, kind=kind).exists():
        WorkPair.objects.create(show=current, kind=kind, one=work, other=other)


@transaction.atomic(durable=True)
def untie_works(*, show: Show, work: Work, other_code: str, kind: str) -> None:
    """
    Take a tie away.

    Writes: WorkPair; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: a tie that is gone stays gone.
    """
    open_inputs(show, doing=f"A tie of “{work.title}” was taken away")
    _ties(work, other_code=other_code, kind=kind).delete()


def _ties(work: Work, *, other_code: str, kind: str) -> QuerySet[WorkPair]:
    either = Q(one=work, other__code=other_code) | Q(other=work, one__code=other_code)
    return WorkPair.objects.filter(either, show=work.show_id, kind=kind)

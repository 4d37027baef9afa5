"""The artist's own line on packing slips."""

from django.db import transaction

from campaign.models import Show
from fulfilment.models import Parcel, SlipLine
from fulfilment.queries.slip_line import read_slip_line
from fulfilment.services.papers import make_again, stop_workers


@transaction.atomic(durable=True)
def save_slip_line(*, show: Show, words: str) -> None:
    """
    Keep what each slip says besides; nothing takes it off.

    Writes: SlipLine; Paper, Job of parcels that are to be packed: their slips are made again.
    Repeat: the same words again change nothing.
    """
    Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    if words == read_slip_line(show):
        return
    stop_workers(show)
    if words:
        SlipLine.objects.update_or_create(show=show, defaults={"words": words})
    else:
        SlipLine.objects.filter(show=show).delete()
    waiting = list(Parcel.objects.select_for_update(no_key=True).filter(show=show, state=Parcel.State.TO_PACK))
    if waiting:
        make_again(waiting)

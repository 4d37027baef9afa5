"""What prices are worked out from beside the price book: the expected fee, wanted sums, the artist's rounding."""

from collections.abc import Mapping

from django.db import transaction

from campaign.models import Show
from campaign.services.inputs import open_inputs


@transaction.atomic(durable=True)
def set_fee_estimate(*, show: Show, fee_bp: int, fee_fixed_minor: int) -> Show:
    """
    Keep what a payment processor is expected to take; an estimate only, booked fees are in the cash book.

    Writes: Show.
    Repeat: the same figures again change nothing.
    """
    Show.objects.filter(pk=show.pk).update(fee_bp=fee_bp, fee_fixed_minor=fee_fixed_minor)
    show.refresh_from_db(fields=["fee_bp", "fee_fixed_minor"])
    return show


@transaction.atomic(durable=True)
def set_wanted_sums(
    *, show: Show, nets: Mapping[str, int | None], round_to_minor: int, frames_pass_through: bool
) -> Show:
    """
    Keep what is to be left of each work after the gallery's share, by work code; None forgets it.

    May be changed after the close too: what a work is offered for does not depend on the plan.
    Writes: Show, Work; Show.inputs_version before the close, so that taking back an older step cannot undo this one.
    Repeat: the same sums again change nothing.
    """
    wanted = {work: nets[work.code] for work in show.works.all() if work.code in nets}
    changed = {work: net for work, net in wanted.items() if work.net_minor != net}
    if changed and show.closed_at is None:
        open_inputs(show, doing="The wanted sums of the works were changed")
    for work, net in changed.items():
        work.net_minor = net
        work.save(update_fields=["net_minor"])
    Show.objects.filter(pk=show.pk).update(sale_rounding_minor=round_to_minor, frames_pass_through=frames_pass_through)
    show.refresh_from_db()
    return show

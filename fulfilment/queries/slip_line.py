"""The artist's own line on packing slips."""

from campaign.models import Show
from fulfilment.models import SlipLine


def read_slip_line(show: Show) -> str:
    """What each slip of `show` says besides; empty where nothing was written."""
    return SlipLine.objects.filter(show=show).values_list("words", flat=True).first() or ""

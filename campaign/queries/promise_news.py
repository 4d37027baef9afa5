"""What an edit in Measure leaves to say about the promises of the levels, for the top of its pages."""

from dataclasses import dataclass

from campaign.models import Show, StaircaseRun
from campaign.queries.plan_request import CODE_VERSION
from campaign.queries.promises import list_broken_promises


@dataclass(frozen=True, slots=True)
class PromiseNews:
    """Either the exact staircase is still to come, or `broken` promises do not hold on it."""

    is_waiting: bool
    broken: int = 0


def read_promise_news(show: Show) -> PromiseNews | None:
    """None where nothing is promised any more or all of it holds. At most four queries."""
    if show.closed_at is not None or not show.levels.exists():
        return None
    runs = StaircaseRun.objects.filter(show=show, code_version=CODE_VERSION).order_by(
        "-inputs_version", "is_quick", "-pk"
    )
    newest = runs.values_list("is_quick", "inputs_version").first()
    if newest is None:
        return None
    if newest != (False, show.inputs_version):
        return PromiseNews(is_waiting=True)
    broken = len(list_broken_promises(show))
    return PromiseNews(is_waiting=False, broken=broken) if broken else None

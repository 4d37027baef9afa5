"""Whether one choice is feasible and what it costs, by the definition in inputs; which choice is best is not said."""

from collections.abc import Sequence

from campaign.planning.costing.purchases import cost_of
from campaign.planning.errors import NotForSale
from campaign.planning.inputs import Option, PlanRequest
from campaign.planning.placing.places import HangingTest

Choice = tuple[int, ...]


class Feasibility:
    """Tests choices of one request, one option index per work and -1 for not hung; remembers what hangs."""

    def __init__(self, request: PlanRequest) -> None:
        self._request, self._test = request, HangingTest(request)

    def cost_minor(self, choice: Choice, *, most_minor: int | None = None) -> int | None:
        """What a feasible choice costs; None where it breaks a rule, does not hang, or costs more than `most_minor`."""
        if not keeps_rules(self._request, choice):
            return None
        try:
            cost = cost_of(self._request, choice).total_minor
        except NotForSale:
            return None
        if most_minor is not None and cost > most_minor:
            return None
        return cost if self._test.hangs(choice) else None


def worth_of(request: PlanRequest, choice: Sequence[int]) -> int:
    """What a choice is worth."""
    return sum(option.worth for option in _hung(request, choice))


def keeps_rules(request: PlanRequest, choice: Choice) -> bool:
    """Whether it keeps what must hang, printer time, lead time, finishes and series; walls and money aside."""
    hung = _hung(request, choice)
    if not hung:
        return True
    if any(work.must_hang and picked < 0 for work, picked in zip(request.works, choice, strict=True)):
        return False
    if sum(option.printer_seconds for option in hung) > request.printer_seconds:
        return False
    if request.lead_days is not None and any(option.lead_days > request.lead_days for option in hung):
        return False
    if request.most_finishes is not None and len({option.finish_code for option in hung}) > request.most_finishes:
        return False
    pairs = {
        (work.series, work.options[picked].finish_code)
        for work, picked in zip(request.works, choice, strict=True)
        if picked >= 0 and work.series
    }
    return not request.series_share_finish or len(pairs) == len({series for series, _ in pairs})


def _hung(request: PlanRequest, choice: Sequence[int]) -> list[Option]:
    return [work.options[picked] for work, picked in zip(request.works, choice, strict=True) if picked >= 0]

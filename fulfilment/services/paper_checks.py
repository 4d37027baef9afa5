"""Recomputes what nests promise: each print once, none over another, straight cuts that part them. Reads only."""

from collections import Counter
from collections.abc import Iterator

from campaign.services.checks import Check, Finding, finding
from fulfilment.models import Nest
from fulfilment.nesting import NoStraightCut, cut_apart
from fulfilment.queries.nests import load_parts


def check_nests() -> Finding:
    """Every nest that is kept can be cut as it is drawn, and no print lies in it twice."""
    return finding("nests", _nests())


def _nests() -> Iterator[str | None]:
    for nest in Nest.objects.select_related("show").iterator():
        parts = [part for _, _, _, laid in load_parts(nest.layout) for part in laid.parts]
        laid = Counter(spot.code for part in parts if not part.is_kept_back for spot in part.spots)
        twice = [code for code, count in laid.items() if count > 1]
        if twice:
            yield f"in nest {nest.code} of {nest.show.code} {twice[0]} lies twice"
            continue
        try:
            for part in parts:
                cut_apart(part.spots, width_mm=part.width_mm, height_mm=part.height_mm)
        except (NoStraightCut, ValueError) as error:
            yield f"nest {nest.code} of {nest.show.code} cannot be cut: {error}"
        else:
            yield None


CHECKS: tuple[Check, ...] = (check_nests,)

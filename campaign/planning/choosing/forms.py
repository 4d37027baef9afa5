"""What makes one set of works hang wherever another hangs, as counts that can be compared; no walls are looked at."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from campaign.planning.choosing.field import Field
from campaign.planning.choosing.multipliers import (
    Group,
)


def with_forms(groups: Sequence[Group], *, field: Field) -> tuple[Group, ...]:
    """
    Groups that also count, per height, how many works of at least each width a choice hangs.

    A choice with no larger count anywhere can hang wherever the other hangs, so only then may it replace it. A work
    that is pinned, or tied to another, counts by itself: it can be replaced by nothing but less of itself. Where two
    must be apart a work more may help, so there the counts must also be no smaller.
    """
    rows, request = field.rows(), field.request
    ceilings = sorted({stretch.max_height_mm for stretch in field.stretches})
    named = {code for group in (*request.apart, *request.together) for code in group}
    sizes: list[list[tuple[str, int, int]]] = []
    for (place, _), row in zip(field.members, rows, strict=True):
        work = request.works[place]
        who = work.code if work.pin or work.code in named else ""
        sizes.append([(who, sum(o.height_mm > ceiling for ceiling in ceilings), o.width_mm) for o in row])
    kinds = sorted({size for of_work in sizes for size in of_work})
    formed = []
    for group, of_work in zip(groups, sizes, strict=True):
        forms = np.zeros((len(of_work) + 1, len(kinds)), dtype=np.int64)
        for i, (who, grade, width) in enumerate(of_work):
            forms[i] = [kind[:2] == (who, grade) and width >= kind[2] for kind in kinds]
        if request.apart:
            narrowest = [i for i, kind in enumerate(kinds) if i == 0 or kinds[i - 1][:2] != kind[:2]]
            forms = np.hstack([forms, -forms[:, narrowest]])
        formed.append(replace(group, forms=forms))
    return tuple(formed)

"""Plain groups and shows for tests that feed the engine bare numbers."""

import numpy as np

from campaign.planning import Option, PlanRequest, WallSpec, WorkOptions, build_staircase, plan_at
from campaign.planning.choosing.multipliers import (
    Group,
)


def group(rows):
    """A group from (cost, worth, uses) rows, in the order that breaks ties."""
    columns = list(zip(*rows, strict=True))
    limited = len(rows[0][2])
    return Group(
        costs=np.array(columns[0], dtype=np.int64),
        worths=np.array(columns[1], dtype=np.int64),
        uses=np.array(columns[2], dtype=np.int64).reshape(len(rows), limited),
        forms=np.zeros((len(rows), 0), dtype=np.int64),
        marks=np.zeros(len(rows), dtype=np.int64),
    )


def option(*, work_code="k", cost_minor=100, worth=10, width_mm=400, height_mm=400, seconds=0, finish="bare", size="s"):
    """An option of bare numbers; the frame is the print."""
    return Option(
        work_code=work_code,
        size_code=size,
        finish_code=finish,
        width_mm=width_mm,
        height_mm=height_mm,
        print_width_mm=width_mm,
        print_height_mm=height_mm,
        cost_minor=cost_minor,
        cost_lines=(),
        mass_g=1000,
        printer_seconds=seconds,
        worth=worth,
    )


def show(works, *, walls=None, show_cost_minor=0, min_gap_mm=100, printer_seconds=0):
    """A request from {code: [options]}; one long wall unless told otherwise."""
    return PlanRequest(
        works=tuple(
            WorkOptions(code=code, title=f"Work {code}", options=tuple(options)) for code, options in works.items()
        ),
        walls=walls if walls is not None else (wall(),),
        show_cost_minor=show_cost_minor,
        min_gap_mm=min_gap_mm,
        printer_seconds=printer_seconds,
    )


def wall(*, code="north", width_mm=100_000, height_mm=3000, centre_mm=1450, end_margin_mm=0, blocked=()):
    """A wall with its middle line at 1450 mm."""
    return WallSpec(code, f"Wall {code}", width_mm, height_mm, centre_mm, end_margin_mm, tuple(blocked))


def plan_show(request, money_minor):
    """The best plan for a sum of money, from a staircase of its own."""
    return plan_at(request, build_staircase(request), money_minor)

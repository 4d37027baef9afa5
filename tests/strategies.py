"""Hypothesis strategies: small shows with walls, doors, frames and a printer, built from the package's own values."""

from dataclasses import replace

from hypothesis import strategies as st

from campaign.planning import BlockedArea, Option, PlanRequest, WallSpec, WorkOptions

FINISHES = ("bare", "board", "oak", "glass")


@st.composite
def options(draw, *, work_code: str, index: int, shared: bool):
    """One option; with `shared`, numbers come from a short list so that ties are frequent."""
    if shared:
        cost = draw(st.sampled_from([0, 100, 200, 300]))
        worth = draw(st.sampled_from([10, 20, 30]))
        width = draw(st.sampled_from([300, 400, 600]))
    else:
        cost = draw(st.integers(0, 900))
        worth = draw(st.integers(0, 90))
        width = draw(st.integers(150, 900))
    return Option(
        work_code=work_code,
        size_code=f"s{index}",
        finish_code=draw(st.sampled_from(FINISHES)),
        width_mm=width,
        height_mm=draw(st.sampled_from([300, 500, 700, 1200])),
        print_width_mm=100,
        print_height_mm=100,
        cost_minor=cost,
        cost_lines=(),
        mass_g=draw(st.integers(0, 9000)),
        printer_seconds=draw(st.sampled_from([0, 60, 300])),
        worth=worth,
    )


@st.composite
def walls(draw, *, index: int):
    """A wall of one to three metres, now and then with a door or a switch."""
    width = draw(st.sampled_from([1000, 1500, 2000, 3100]))
    blocked = []
    if draw(st.booleans()):
        high = draw(st.booleans())
        blocked.append(
            BlockedArea(
                name="door" if high else "switch",
                x_mm=draw(st.integers(0, width - 300)),
                y_mm=0 if high else 1050,
                width_mm=300 if high else 80,
                height_mm=2000 if high else 80,
            )
        )
    return WallSpec(
        code=f"w{index}",
        name=f"Wall {index}",
        width_mm=width,
        height_mm=draw(st.sampled_from([2000, 2600])),
        centre_mm=1450,
        end_margin_mm=draw(st.sampled_from([0, 100])),
        blocked=tuple(blocked),
    )


@st.composite
def requests(draw, *, most_works: int = 5, most_options: int = 3, most_walls: int = 3, tight: bool = False):
    """A show small enough for exhaustive search; `tight` takes short walls, on which frames must be packed."""
    shared = draw(st.booleans())
    if tight:
        short = st.builds(
            WallSpec,
            code=st.just(""),
            name=st.just("Short wall"),
            width_mm=st.sampled_from([800, 1000, 1100, 1300]),
            height_mm=st.sampled_from([2300, 2900]),
            centre_mm=st.just(1450),
            end_margin_mm=st.just(0),
        )
        walls_drawn = tuple(replace(draw(short), code=f"w{index}") for index in range(draw(st.integers(2, 3))))
    else:
        walls_drawn = tuple(draw(walls(index=i)) for i in range(draw(st.integers(0, most_walls))))
    works = []
    for index in range(draw(st.integers(0, most_works))):
        code = f"k{index}"
        count = draw(st.integers(0, most_options))
        offered = tuple(draw(options(work_code=code, index=i, shared=shared)) for i in range(count))
        works.append(WorkOptions(code=code, title=f"Work {index}", options=offered))
    return PlanRequest(
        works=tuple(works),
        walls=walls_drawn,
        show_cost_minor=draw(st.sampled_from([0, 250])),
        min_gap_mm=draw(st.sampled_from([0, 50, 120])),
        printer_seconds=draw(st.sampled_from([0, 360, 10_000])),
    )

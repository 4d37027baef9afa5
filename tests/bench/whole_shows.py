"""Whole shows for solver and bench: packs, price steps, a shelf, charges, several walls and every kind of rule."""

from random import Random

from campaign.planning import (
    BlockedArea,
    FinishTerms,
    Need,
    Option,
    Pack,
    Pin,
    PlanRequest,
    Supply,
    WallSpec,
    WorkOptions,
)

METRE = 1_000_000
# Print sizes in millimetres with their factor in per cent; finishes with border, worth, lead days and own costs.
SIZES = ((300, 400, 70), (420, 560, 100), (600, 800, 125))
FINISHES = (("board", 0, 45, 1), ("tray", 20, 70, 4), ("oak", 60, 100, 8))
SUPPLIES = (
    Supply("roll", "Paper on a roll", "m", 2 * METRE, (Pack(15 * METRE, 6_400),)),
    Supply("glass", "Acrylic sheet", "m2", 0, (Pack(METRE, 2_300), Pack(METRE, 1_900, 8), Pack(2 * METRE, 4_000))),
    Supply("oak", "Oak moulding", "m", 4 * METRE, (Pack(3 * METRE, 1_650), Pack(3 * METRE, 1_400, 10))),
    Supply("board", "Mounting board", "m2", METRE // 2, (), 1_150),
)
TERMS = (
    FinishTerms("board", "Board", 0, 2_000),
    FinishTerms("tray", "Tray", 1_500),
    FinishTerms("oak", "Oak", 2_500, 9_000),
)


def whole_show(*, works: int, seed: int) -> PlanRequest:
    """A show of this many works with rooms, supplies and rules, as a small gallery would have them."""
    chance = Random(seed)
    walls = _walls(chance, works=works)
    made = tuple(_work(chance, index=index, walls=walls, works=works) for index in range(works))
    free = [work.code for work in made if work.pin is None]
    drawn = chance.sample(free, 7)
    return PlanRequest(
        works=made,
        walls=walls,
        show_cost_minor=12_000,
        min_gap_mm=80,
        printer_seconds=works * chance.randint(330, 600),
        supplies=SUPPLIES,
        finishes=TERMS,
        lead_days=chance.choice([None, 8, 10]),
        most_finishes=2,
        series_share_finish=True,
        apart=((drawn[0], drawn[1]), (drawn[2], drawn[3])),
        together=((drawn[4], drawn[5], drawn[6]),),
    )


def _walls(chance: Random, *, works: int) -> tuple[WallSpec, ...]:
    """Four walls for about half of all works: a door, a radiator, two rows, a gap of its own."""
    metre = works * 55
    long_mm, short_mm = metre * chance.randint(22, 28) // 10, metre * chance.randint(12, 18) // 10
    door = BlockedArea("door", long_mm * chance.randint(3, 6) // 10, 0, 950, 2050)
    radiator = BlockedArea("radiator", short_mm // 4, 100, 900, 950)
    return (
        WallSpec("north", "North", long_mm, 2900, 1450, 150, (door,)),
        WallSpec("east", "East", short_mm, 2900, 1450, 100, (radiator,)),
        WallSpec("south", "South", long_mm * 8 // 10, 3000, 1500, 150, (), min_gap_mm=chance.choice([60, 100])),
        WallSpec("west", "West", short_mm, 2900, 1500, 100, (), rows=2, row_height_mm=700, row_gap_mm=100),
    )


def _work(chance: Random, *, index: int, walls: tuple[WallSpec, ...], works: int) -> WorkOptions:
    code, need = f"k{index:02d}", chance.randint(1, 5)
    pin = None
    if index == 0:
        pin = Pin("south", walls[2].width_mm // 2)
    elif index in (1, 2):
        pin = Pin("north")
    portrait = chance.random() < 0.5
    options = tuple(
        _option(chance, code=code, need=need, size=size, finish=finish, portrait=portrait)
        for size in chance.sample(range(3), 2)
        for finish in range(3)
    )
    series = ""
    if index >= 3 and index % 4 == 0:
        series = ("sea", "night", "hands")[index // 4 % 3]
    return WorkOptions(code, f"Work {index}", options, series, index in (3, works - 1), pin)


def _option(chance: Random, *, code: str, need: int, size: int, finish: int, portrait: bool) -> Option:
    short, tall, factor = SIZES[size]
    name, border, worth, days = FINISHES[finish]
    width, height = (short, tall) if portrait else (tall, short)
    outer_width, outer_height = width + 2 * border, height + 2 * border
    # Hundredths of a metre and of a square metre, so that quantities stay whole and small.
    run, area = -(-2 * (outer_width + outer_height) // 10), -(-outer_width * outer_height // 10_000)
    needs = [Need("roll", max(width, height) // 10 * METRE // 100)]
    if name == "oak":
        needs += [Need("oak", run * METRE // 100), Need("glass", area * METRE // 100)]
    else:
        needs.append(Need("board", area * METRE // 100))
    return Option(
        work_code=code,
        size_code=f"s{size}",
        finish_code=name,
        width_mm=outer_width,
        height_mm=outer_height,
        print_width_mm=width,
        print_height_mm=height,
        cost_minor=chance.randint(90, 240) + area * (18, 30, 22)[finish],
        cost_lines=(),
        mass_g=area * 60,
        printer_seconds=-(-width * height * 1800 // 1_000_000),
        worth=need * worth * factor // 100,
        needs=tuple(needs),
        lead_days=days,
    )

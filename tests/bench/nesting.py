"""
Length of roll for thirty prints, against what no nest can beat and against the best straight-cut nest of a general
packing library: every algorithm and every order it has, the shortest length by bisection.
"""

import random
from itertools import product
from statistics import median
from time import process_time

from fulfilment.nesting import Print, Roll, cut_apart, least_length_mm, nest_on_roll
from tests.bench.rows import Row

PRINTS, SEEDS = 30, range(8)
# Name, width, shortest sides of the prints, bar against the bound.
ROLLS = (("44 in", 1118, (150, 500), 1.09), ("24 in", 610, (150, 400), 1.22))
LIMIT_S = 1.0


def nesting_rows() -> list[Row]:
    """For each width: the middle one over the bound, the worst one over the library's, the slowest."""
    return [row for name, width_mm, sides, bar in ROLLS for row in _rows(name, width_mm, sides, bar)]


def make_prints(seed: int, *, sides: tuple[int, int]) -> list[Print]:
    """Thirty prints up to 900 mm long, between a square and 8 by 5."""
    chance = random.Random(seed)
    shorter = [chance.randint(*sides) for _ in range(PRINTS)]
    return [Print(f"p{at:02}", side, min(int(side * chance.uniform(1, 1.6)), 900)) for at, side in enumerate(shorter)]


def _rows(name: str, width_mm: int, sides: tuple[int, int], bar: float) -> list[Row]:
    lengths, bounds, libraries, seconds = [], [], [], []
    for seed in SEEDS:
        prints = make_prints(seed, sides=sides)
        started = process_time()
        nest = nest_on_roll(prints, roll=Roll(width_mm))
        seconds.append(process_time() - started)
        cut_apart(nest.spots, width_mm=width_mm, height_mm=nest.length_mm)  # fails where it cannot be cut
        lengths.append(nest.length_mm)
        bounds.append(least_length_mm(prints, width_mm=width_mm))
        libraries.append(best_of_library(prints, width_mm=width_mm))
    over_bound = [ours / bound for ours, bound in zip(lengths, bounds, strict=True)]
    over_library = [ours / library for ours, library in zip(lengths, libraries, strict=True)]
    what = f"{PRINTS} prints on a roll of {name}"
    return [
        Row(f"{what}: length, median of {len(SEEDS)}", median(over_bound), 1.0, "", "least length proved", bar),
        Row("   the worst of them", max(over_library), 1.0, "", "best straight-cut nest of rectpack", 1.0),
        Row("   its time on one processor, the slowest", max(seconds), LIMIT_S, "s", "limit", 1.0),
    ]


def best_of_library(prints: list[Print], *, width_mm: int) -> int:
    """The shortest roll on which rectpack lays all of them by straight cuts."""
    import rectpack

    algorithms = [getattr(rectpack, name) for name in dir(rectpack) if name.startswith("Guillotine")]
    orders = [getattr(rectpack, name) for name in dir(rectpack) if name.startswith("SORT_")]
    best = sum(max(item.width_mm, item.height_mm) for item in prints)
    for algorithm, order in product(algorithms, orders):
        if not _fits(prints, width_mm, best - 1, algorithm, order):
            continue
        low, best = least_length_mm(prints, width_mm=width_mm), best - 1
        while low < best:
            middle = (low + best) // 2
            if _fits(prints, width_mm, middle, algorithm, order):
                best = middle
            else:
                low = middle + 1
    return best


def _fits(prints: list[Print], width_mm: int, length_mm: int, algorithm: type, order: object) -> bool:
    import rectpack

    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, pack_algo=algorithm, sort_algo=order, rotation=True
    )  # fmt: skip
    packer.add_bin(width_mm, length_mm)
    for item in prints:
        packer.add_rect(item.width_mm, item.height_mm)
    packer.pack()
    return len(packer.rect_list()) == len(prints)

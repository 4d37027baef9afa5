"""Shows for the bench: made up by a seeded generator, the same on every machine."""

from random import Random

from campaign.planning import Option, PlanRequest, WallSpec, WorkOptions

SIZES = ((320, 0.55), (500, 0.8), (760, 1.0))
FINISHES = (("board", 1.0, (35, 60)), ("oak", 2.4, (65, 100)))


def stepped_show(*, works: int, seed: int) -> PlanRequest:
    """Three sizes in two finishes: dearer and larger is worth more, as an artist would price and judge."""
    chance = Random(seed)
    made = []
    for index in range(works):
        need = chance.randint(1, 5)
        options = []
        for size, (width_mm, factor) in enumerate(SIZES):
            for finish, dearer, (low, high) in FINISHES:
                cost = 22 * (1 + 0.7 * size) * dearer * chance.uniform(0.5, 1.5) * 100
                worth = need * chance.randint(low, high) * factor
                width = round(width_mm * chance.uniform(0.8, 1.2) / 10) * 10 + (60 if finish == "oak" else 0)
                options.append((f"s{size}", finish, cost, worth, width))
        made.append(_work(index, options))
    return _show(made)


def mixed_show(*, works: int, seed: int) -> PlanRequest:
    """Six options at random costs; worth follows size, finish and a little of the cost."""
    chance = Random(seed)
    made = []
    for index in range(works):
        liking = chance.uniform(0.5, 1.5)
        options = []
        for place in range(6):
            width_cm, finish = chance.randint(30, 90), chance.uniform(0.3, 1)
            cost = chance.uniform(8, 400)
            worth = liking * (width_cm * 0.6 + finish * 60 + cost * 0.15)
            options.append((f"s{place}", f"f{place % 3}", cost * 100, worth, width_cm * 10))
        made.append(_work(index, options))
    return _show(made)


def _work(index: int, options: list[tuple[str, str, float, float, int]]) -> WorkOptions:
    code = f"k{index}"
    made = tuple(
        Option(
            work_code=code,
            size_code=size,
            finish_code=finish,
            width_mm=width,
            height_mm=width,
            print_width_mm=width,
            print_height_mm=width,
            cost_minor=min(max(round(cost), 800), 40_000),
            cost_lines=(),
            mass_g=0,
            printer_seconds=60,
            worth=max(round(worth), 1),
        )
        for size, finish, cost, worth, width in options
    )
    return WorkOptions(code=code, title=f"Work {index}", options=made)


def _show(works: list[WorkOptions]) -> PlanRequest:
    """One wall that takes less than half of everything in its largest size, gaps of 100 mm."""
    gap_mm = 100
    widest = sum(max(option.width_mm for option in work.options) + gap_mm for work in works)
    wall = WallSpec("north", "North wall", widest * 45 // 100, 3000, 1500, 0)
    return PlanRequest(tuple(works), (wall,), 0, gap_mm, 60 * len(works))

"""
Shows small enough to try everything, each rule of a show switched on by its name, from a seeded generator.

A property is tested over seeds drawn by Hypothesis; `reduced` makes a failing show as small as it gets.
"""

from dataclasses import replace
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

SWITCHES = (
    "packs",
    "price steps",
    "shelf",
    "set-up",
    "least charge",
    "series",
    "most finishes",
    "must hang",
    "lead days",
    "printer time",
    "blocked areas",
    "two rows",
    "wall gap",
    "pin to a wall",
    "pin to a place",
    "apart",
    "together",
)
FINISHES = ("bare", "board", "oak")
SUPPLIES = ("glass", "moulding")


def small_show(seed, *, on, most_works=5):
    """A show of two to five works and one or two walls, with the rules named in `on`."""
    chance = Random(seed)
    walls = tuple(_wall(chance, index=i, on=on) for i in range(chance.randint(1, 2)))
    supplies = ()
    if on & {"packs", "price steps", "shelf"}:
        supplies = tuple(small_supply(chance, code=code, on=on) for code in SUPPLIES[: chance.randint(1, 2)])
    count = chance.randint(2, most_works)
    works = tuple(
        _work(chance, index=i, most_options=3 if count < 5 else 2, walls=walls, supplies=supplies, on=on)
        for i in range(count)
    )
    codes = [work.code for work in works]
    return PlanRequest(
        works=works,
        walls=walls,
        show_cost_minor=chance.choice([0, 150]),
        min_gap_mm=chance.choice([0, 50, 120]),
        printer_seconds=chance.choice([0, 130, 200, 300]) if "printer time" in on else 10_000,
        supplies=supplies,
        finishes=_terms(chance, on=on) if on & {"set-up", "least charge"} else (),
        lead_days=chance.choice([None, 4, 7, 8]) if "lead days" in on else None,
        most_finishes=chance.choice([1, 2, 2]) if "most finishes" in on else None,
        series_share_finish="series" in on,
        apart=_groups(chance, codes=codes, most=2, groups=3) if "apart" in on else (),
        together=_groups(chance, codes=codes, most=3, groups=2) if "together" in on else (),
    )


def _groups(chance, *, codes, most, groups):
    """Some sets of two or more works."""
    sizes = [chance.randint(2, min(most, len(codes))) for _ in range(chance.randint(1, groups))]
    return tuple(tuple(chance.sample(codes, size)) for size in sizes)


def _wall(chance, *, index, on):
    """A wall for one to four works in a row."""
    has_two_rows = "two rows" in on and chance.random() < 0.7
    return WallSpec(
        code=f"w{index}",
        name=f"Wall {index}",
        width_mm=chance.choice([700, 1000, 1300, 1900]),
        height_mm=chance.choice([2100, 2600]),
        centre_mm=1450,
        end_margin_mm=chance.choice([0, 60]),
        blocked=_blocked(chance) if "blocked areas" in on else (),
        rows=2 if has_two_rows else 1,
        row_height_mm=chance.choice([300, 401, 520]) if has_two_rows else 0,
        row_gap_mm=chance.choice([0, 75]) if has_two_rows else 0,
        min_gap_mm=chance.choice([None, 0, 80]) if "wall gap" in on else None,
    )


def _blocked(chance):
    """None to two areas of every kind: across the line, above it, below it, out of reach."""
    areas = []
    for _ in range(chance.choice([0, 1, 1, 2])):
        x_mm = chance.choice([0, 250, 400, 650, 700])
        name, y_mm, width_mm, height_mm = chance.choice(
            [("door", 0, 200, 2000), ("switch", 1050, 80, 80), ("shelf", 0, 500, 1150), ("vent", 1700, 300, 200)]
        )
        areas.append(BlockedArea(name, x_mm, y_mm, width_mm, height_mm))
    return tuple(areas)


def _work(chance, *, index, most_options, walls, supplies, on):
    """A work with one to three options; what it must do only where the rule is on."""
    code, pin = f"k{index}", None
    if "pin to a place" in on and chance.random() < 0.35:
        wall = chance.choice(walls)
        pin = Pin(wall.code, chance.choice([200, 350, 500, 650, 900]), chance.randrange(wall.rows))
    elif "pin to a wall" in on and chance.random() < 0.5:
        pin = Pin(chance.choice(walls).code)
    return WorkOptions(
        code=code,
        title=f"Work {index}",
        options=tuple(
            _option(chance, work_code=code, index=i, supplies=supplies, on=on)
            for i in range(chance.randint(1, most_options))
        ),
        series=chance.choice(["", "sea", "land"]) if "series" in on else "",
        must_hang="must hang" in on and chance.random() < (0.3 if len(on) < 6 else 0.1),
        pin=pin,
    )


def _option(chance, *, work_code, index, supplies, on):
    """One option; costs and worths are few so that ties are frequent."""
    taken = [(supply.code, chance.choice([0, 200, 300, 450])) for supply in supplies]
    width = chance.choice([200, 301, 400, 550])
    return Option(
        work_code=work_code,
        size_code=f"s{index}",
        finish_code=chance.choice(FINISHES),
        width_mm=width,
        height_mm=chance.choice([250, 301, 500, 900]),
        print_width_mm=width,
        print_height_mm=100,
        cost_minor=chance.choice([0, 70, 100, 130, 200, 310]),
        cost_lines=(),
        mass_g=1000,
        printer_seconds=chance.choice([0, 60, 100]) if "printer time" in on else 0,
        worth=chance.choice([0, 5, 10, 11, 20, 30]),
        needs=tuple(Need(code, quantity) for code, quantity in taken if quantity),
        lead_days=chance.choice([0, 5, 9]) if "lead days" in on else 0,
    )


def small_supply(chance, *, code, on):
    """A supply in packs of one or two sizes, with price steps, on the shelf, or bought to measure."""
    packs = []
    if on & {"packs", "price steps"}:
        for size in chance.choice([(500,), (300, 1000), (400, 700)]):
            price = chance.choice([40, 90, 150])
            packs.append(Pack(size, price))
            if "price steps" in on:
                packs.append(Pack(size, chance.choice([price // 3, price * 3 // 4]), chance.randint(2, 3)))
    return Supply(
        code=code,
        name=code.title(),
        unit="m",
        shelf_micro=chance.choice([0, 250, 600, 900]) if "shelf" in on else 0,
        packs=tuple(chance.sample(packs, len(packs))),
        price_minor=chance.choice([None, 100, 133, 133]),
        per_micro=1000,
    )


def _terms(chance, *, on):
    """Set-up and least charges of some of the finishes."""
    return tuple(
        FinishTerms(
            code=code,
            name=code.title(),
            setup_minor=chance.choice([0, 60, 200]) if "set-up" in on else 0,
            least_minor=chance.choice([0, 150, 400]) if "least charge" in on else 0,
        )
        for code in FINISHES
        if chance.random() < 0.7
    )


def reduced(request, *, fails):
    """A show that still fails and from which nothing can be left out; `fails(request)` is the question asked."""
    tried = True
    while tried:
        tried = next((smaller for smaller in _smaller(request) if fails(smaller)), None)
        request = tried or request
    return request


def _smaller(request):
    """Every show with one thing less."""
    for field in ("supplies", "finishes", "apart", "together"):
        for index in range(len(getattr(request, field))):
            yield from _without(request, field=field, index=index)
    for field, plain in (
        ("show_cost_minor", 0),
        ("min_gap_mm", 0),
        ("lead_days", None),
        ("most_finishes", None),
        ("series_share_finish", False),
        ("printer_seconds", 10_000),
    ):
        if getattr(request, field) != plain:
            yield replace(request, **{field: plain})
    for index in range(len(request.works)):
        yield from _without(request, field="works", index=index)
        yield from _plainer_works(request, index=index)
    for index, wall in enumerate(request.walls):
        yield from _without(request, field="walls", index=index)
        for field, plain in (("blocked", ()), ("rows", 1), ("min_gap_mm", None), ("end_margin_mm", 0)):
            if getattr(wall, field) != plain:
                walls = list(request.walls)
                walls[index] = replace(wall, **{field: plain})
                yield replace(request, walls=tuple(walls))


def _without(request, *, field, index):
    """The show without one value of a field, and without what names it."""
    values = getattr(request, field)
    gone = getattr(values[index], "code", None)
    changes = {field: values[:index] + values[index + 1 :]}
    if field == "works":
        changes |= {name: tuple(g for g in getattr(request, name) if gone not in g) for name in ("apart", "together")}
    if field == "walls" and any(work.pin and work.pin.wall_code == gone for work in request.works):
        return
    if field == "supplies":
        changes["works"] = tuple(
            replace(
                work,
                options=tuple(
                    replace(option, needs=tuple(need for need in option.needs if need.supply_code != gone))
                    for option in work.options
                ),
            )
            for work in request.works
        )
    yield replace(request, **changes)


def _plainer_works(request, *, index):
    """The show with one option less, or one rule less, for one work."""
    work = request.works[index]
    plainer = [
        replace(work, options=work.options[:i] + work.options[i + 1 :])
        for i in range(len(work.options))
        if len(work.options) > 1
    ]
    plainer += [
        replace(work, **{field: plain})
        for field, plain in (("series", ""), ("must_hang", False), ("pin", None))
        if getattr(work, field) != plain
    ]
    for other in plainer:
        yield replace(request, works=(*request.works[:index], other, *request.works[index + 1 :]))

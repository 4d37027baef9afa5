"""Lighthouses and tide moons: circles, towers, beams. Upright and square formats."""

import math

from campaign.demonstration.press import (
    NIGHT,
    OCHRE,
    SEA,
    SLATE,
    Colour,
    Point,
    Press,
)


def tower(press: Press, *, sky: Colour, dark: Colour, stripe: Colour, beams: int, bands: int, at: float = 0.5) -> None:
    """A lighthouse on its rock, beams cut out of the night."""
    lamp = (at, press.tall * 0.27)
    press.pull(press.below([(-0.05, -0.05), (1.05, -0.05)]), sky)
    press.overprint(press.fade(0, press.tall * 0.9), sky)
    if beams:
        press.overprint(press.without(press.shape([(-0.1, -0.1), (1.1, -0.1), (1.1, 2), (-0.1, 2)]),
                                      press.shape(*_beams(lamp, beams, spread=0.1))), dark, strength=0.72)  # fmt: skip
        press.lift(press.shape(*_beams(lamp, beams, spread=0.035)), strength=0.85)
    sea = press.tall * 0.8
    press.pull(press.below(press.curve(sea, swing=0.003, waves=0.6)), dark)
    press.lift(press.gouges(sea + 0.01, press.tall * 1.02, count=170, length=0.12, weight=0.003))
    outline = ((-0.36, 0.05), (-0.2, -0.02), (-0.12, -0.035), (0.1, -0.04), (0.19, 0), (0.33, 0.055))
    rock = [(at + dx, sea + dy) for dx, dy in outline]
    press.pull(press.shape(rock), NIGHT)
    _shaft(press, lamp, foot=sea - 0.03, stripe=stripe, bands=bands)


def _shaft(press: Press, lamp: Point, *, foot: float, stripe: Colour, bands: int) -> None:
    x, top = lamp[0], lamp[1] + 0.045

    def half(y: float) -> float:
        return 0.045 + 0.045 * math.pow((y - top) / (foot - top), 1.3)

    press.lift(
        press.shape([(x - half(top), top), (x - half(foot), foot), (x + half(foot), foot), (x + half(top), top)])
    )
    stripes = []
    for index in range(bands):
        start, end = (top + (foot - top) * (2 * index + step) / (2 * bands) for step in (0, 1))
        stripes.append([(x - half(start), start), (x - half(end), end), (x + half(end), end), (x + half(start), start)])
    press.pull(press.shape(*stripes), stripe)
    shade = [(x + half(top) * 0.35, top), (x + half(foot) * 0.35, foot), (x + half(foot), foot), (x + half(top), top)]
    press.overprint(press.shape(shade), SLATE, strength=0.55)
    gallery = [(x - 0.068, top - 0.008), (x - 0.062, top + 0.012), (x + 0.062, top + 0.012), (x + 0.068, top - 0.008)]
    room = [(x - 0.034, top - 0.006), (x - 0.034, top - 0.078), (x + 0.034, top - 0.078), (x + 0.034, top - 0.006)]
    roof = [(x - 0.046, top - 0.076), (x, top - 0.13), (x + 0.046, top - 0.076)]
    press.pull(press.shape(gallery, roof), NIGHT)
    press.pull(press.shape(room), OCHRE)
    press.pull(press.lines(*([(x + dx, top - 0.006), (x + dx, top - 0.078)] for dx in (-0.034, -0.011, 0.011, 0.034)),
                           [(x, top - 0.12), (x, top - 0.17)], width=0.004), NIGHT)  # fmt: skip


def _beams(lamp: Point, count: int, *, spread: float) -> list[list[Point]]:
    cones: list[list[Point]] = []
    for index in range(count):
        angle = -0.16 + 2 * math.pi * index / count
        cones.append(
            [
                lamp,
                *(
                    (lamp[0] + 2.2 * math.cos(angle + turn), lamp[1] + 2.2 * math.sin(angle + turn))
                    for turn in (-spread, spread)
                ),
            ]
        )
    return cones


def rings(press: Press, *, ground: Colour, ink: Colour, heart: Colour, count: int = 9) -> None:
    """A light seen from the sea at night: rings that widen until the paper ends."""
    centre = (0.5, press.tall * 0.42)
    press.pull(press.below([(-0.05, -0.05), (1.05, -0.05)]), ground)
    radii = [0.07 + 0.075 * index * (1 + 0.045 * index) for index in range(count)]
    press.pull(
        press.both(*(press.ring(centre, radius, 0.013 + 0.004 * index) for index, radius in enumerate(radii))), ink
    )
    sea = press.tall * 0.74
    water = press.below(press.curve(sea, swing=0.002, waves=0.5))
    press.pull(water, ground)
    press.overprint(water, SLATE, strength=0.6)
    press.pull(press.gouges(sea + 0.01, press.tall, count=90, length=0.11, weight=0.003), ink)
    press.pull(press.disc(centre, 0.045), heart)
    strips = ((sea + 0.03 + 0.042 * n, 0.03 + 0.011 * ((n * 7) % 5)) for n in range(9))
    glint = [[(0.5 - half, y), (0.5, y - 0.005), (0.5 + half, y), (0.5, y + 0.005)] for y, half in strips]
    press.pull(press.shape(*glint), heart)


def moons(press: Press, *, ground: Colour, phases: int, ink: Colour, tide: Colour) -> None:
    """The moon through its quarters over the curve of the tide."""
    press.pull(press.below([(-0.05, -0.05), (1.05, -0.05)]), ground)
    step = 1 / (phases + 0.6)
    lit, shadows = [], []
    for index in range(phases):
        from_middle = 2 * index / (phases - 1) - 1
        x = step * (index + 0.8)
        y = press.tall * (0.38 - 0.14 * math.cos(from_middle * math.pi / 2))
        radius = step * 0.37
        lit.append(press.disc((x, y), radius))
        # The shadow has left the middle moon and hardly moved off the outer ones.
        offset = math.copysign(0.5 + 1.65 * (1 - abs(from_middle)), -from_middle) * radius
        shadows.append(press.within(press.disc((x + offset, y), radius * 1.02), lit[-1]))
    press.pull(press.without(press.both(*lit), *shadows), ink)
    for layer in range(4):
        rise = 0.055 * (1 - 0.17 * layer)
        level = press.tall * (0.66 + 0.075 * layer)
        line = [(x / 100, level + rise * math.sin(x / 25 * math.pi + 0.5 * layer)) for x in range(-4, 106, 2)]
        press.pull(press.below(line), tide, strength=0.32)
    press.lift(press.gouges(press.tall * 0.74, press.tall, count=90, length=0.09, weight=0.0024))


def disc_over_water(press: Press, *, sky: Colour, disc: Colour, water: Colour) -> None:
    """One great moon, its own light lying in strips on the sea."""
    horizon = press.tall * 0.6
    press.overprint(press.fade(0, press.tall), sky)
    press.overprint(press.fade(0, press.tall * 0.45), sky, strength=0.7)
    press.pull(press.disc((0.5, press.tall * 0.4), 0.26), disc)
    spots = ((-0.1, -0.06, 0.05), (0.07, -0.12, 0.03), (0.1, 0.03, 0.06), (-0.04, 0.09, 0.034))
    craters = press.both(*(press.disc((0.5 + dx, press.tall * 0.4 + dy), radius) for dx, dy, radius in spots))
    press.overprint(craters, SEA, strength=0.5)
    press.pull(press.below(press.curve(horizon, swing=0.002, waves=0.5)), water)
    strips = []
    for index in range(17):
        y = horizon + 0.014 + (press.tall - horizon) * (index / 17) ** 1.15
        half = 0.25 * (1 - 0.45 * index / 17) * (0.45 + 0.55 * press.chance.random())
        shift = 0.03 * (press.chance.random() - 0.5)
        strips.append(
            [(0.5 + shift - half, y), (0.5 + shift, y - 0.0055), (0.5 + shift + half, y), (0.5 + shift, y + 0.0055)]
        )
    press.pull(press.shape(*strips), disc)
    press.lift(press.gouges(horizon + 0.02, press.tall, count=80, length=0.07, weight=0.0018), strength=0.5)

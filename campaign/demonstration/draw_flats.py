"""Tidal flats and fog: horizons in layers. Landscape and panorama formats."""

import math

from campaign.demonstration.press import (
    INDIGO,
    OCHRE,
    Colour,
    Point,
    Press,
)


def ebb(
    press: Press, *, sky: Colour, bands: tuple[Colour, ...], sun: Point | None = None, sun_colour: Colour = OCHRE
) -> None:
    """Bands of sand and water running out to a level horizon, cut with glints."""
    horizon = press.tall * 0.36
    press.overprint(press.fade(0, horizon * 1.15), sky)
    if sun is not None:
        press.pull(press.disc(sun, 0.062), sun_colour)
    depth = press.tall - horizon
    for index, colour in enumerate(bands):
        level = horizon + depth * (index / len(bands)) ** 1.55
        press.pull(press.below(press.curve(level, swing=0.0025 + 0.011 * index / len(bands), waves=0.7)), colour)
        next_level = horizon + depth * ((index + 1) / len(bands)) ** 1.55
        if index % 2 == 0:
            press.lift(press.gouges(level + 0.006, next_level, count=70 + 18 * index, length=0.05 + 0.03 * index))
    if sun is not None:
        press.pull(press.gouges(horizon + 0.01, press.tall * 0.98, count=60, length=0.05), sun_colour, strength=0.9)


def channels(
    press: Press, *, ground: Colour, water: Colour, sky: Colour, bends: tuple[tuple[float, float], ...]
) -> None:
    """A flat seen from the dyke: channels towards the reader, each with where it starts and how it bends."""
    horizon = press.tall * 0.24
    press.overprint(press.fade(0, horizon * 1.2), sky)
    press.pull(press.below(press.curve(horizon, swing=0.002, waves=0.6)), ground)
    polygons: list[list[Point]] = []
    for start, bend in bends:
        left: list[Point] = []
        right: list[Point] = []
        for step in range(60):
            near = step / 59
            y = horizon + 0.004 + (press.tall * 1.04 - horizon) * near**1.7
            x = start + bend * math.sin(near * 5.2 + start * 9) * (0.25 + near) + (start - 0.5) * near * 0.8
            wide = 0.004 + 0.09 * near**1.8 * (1 if bend > 0 else 0.55)
            left.append((x - wide, y))
            right.append((x + wide, y))
        polygons.append(left + right[::-1])
    bed = press.shape(*polygons)
    press.pull(bed, water)
    press.lift(press.within(press.gouges(horizon, press.tall, count=420, length=0.07, weight=0.0018), bed))
    press.overprint(
        press.without(press.gouges(horizon + 0.02, press.tall, count=360, length=0.09), bed), ground, strength=0.8
    )


def ripples(press: Press, *, ground: Colour, ridge: Colour, light: Colour) -> None:
    """Sand ripples close by: nothing but lines that lean on each other."""
    press.pull(press.below([(-0.05, -0.05), (1.05, -0.05)]), ground)
    levels = 17
    ridges: list[list[Point]] = []
    for index in range(levels):
        near = index / (levels - 1)
        line = press.curve(-0.02 + (press.tall + 0.04) * near**1.25, swing=0.006 + 0.02 * near, waves=0.9)
        thick = 0.006 + 0.022 * near
        under = [(x, y + thick * (0.35 + 0.65 * abs(math.sin(x * 9 + index)))) for x, y in line]
        ridges.append(line + under[::-1])
    press.pull(press.shape(*(each for index, each in enumerate(ridges) if index % 5)), ridge)
    press.pull(press.shape(*ridges[::5]), light)


def poles(press: Press, *, sky: Colour, water: Colour, wood: Colour, count: int = 11) -> None:
    """A line of poles walking out into nothing, each with its own reflection."""
    horizon = press.tall * 0.47
    press.overprint(press.spatter(press.fade(0.02, horizon * 1.3)), sky, strength=0.55)
    press.overprint(press.fade(horizon * 0.6, press.tall * 1.2, upward=True), water)
    lifts, woods = [], []
    for index in range(count):
        near = (index / (count - 1)) ** 1.5
        x = 0.56 - 0.47 * near + 0.012 * math.sin(index * 2.4)
        foot = horizon + 0.012 + (press.tall * 0.44) * near
        high, wide = 0.03 + 0.34 * near, 0.0018 + 0.0085 * near
        lean = 0.02 * near * math.sin(index * 1.9)
        woods.append(
            [
                (x - wide, foot),
                (x - wide * 0.8 + lean, foot - high),
                (x + wide * 0.8 + lean, foot - high * 0.985),
                (x + wide, foot),
            ]
        )
        lifts.append(
            [
                (x - wide, foot),
                (x - wide * 0.6 - lean, foot + high * 0.62),
                (x + wide * 0.7 - lean, foot + high * 0.6),
                (x + wide, foot),
            ]
        )
    press.overprint(press.shape(*lifts), wood, strength=0.5)
    press.pull(press.shape(*woods), wood)
    press.lift(press.gouges(horizon + 0.03, press.tall, count=120, length=0.16, weight=0.0016))


def fog(press: Press, *, banks: tuple[Colour, ...], hidden: str, dark: Colour = INDIGO) -> None:
    """Fog in banks, one before the other, with something half seen between them."""
    count = len(banks)
    for index, colour in enumerate(banks):
        top = press.tall * (0.12 + 0.74 * index / count)
        line = press.curve(top, swing=0.012 + 0.006 * index, waves=0.55)
        area = press.below(line)
        veil = press.fade(top - 0.02, top + press.tall * 0.42)
        press.overprint(press.within(area, veil), colour)
        if index == count // 2:
            _HIDDEN[hidden](press, press.tall * 0.62, dark)
    press.lift(press.spatter(press.fade(press.tall * 0.5, press.tall * 1.5, upward=True)), strength=0.5)


def _boat(press: Press, level: float, dark: Colour) -> None:
    hull = [(0.58, level), (0.585, level + 0.026), (0.7, level + 0.03), (0.735, level - 0.004)]
    cabin = [(0.605, level), (0.605, level - 0.03), (0.648, level - 0.03), (0.655, level)]
    press.pull(press.shape(hull, cabin), dark)
    press.pull(press.lines([(0.672, level + 0.01), (0.676, level - 0.12)], [(0.676, level - 0.115), (0.73, level)],
                           [(0.676, level - 0.115), (0.59, level)], width=0.0026), dark)  # fmt: skip
    press.overprint(press.gouges(level + 0.034, level + 0.09, count=26, length=0.06, weight=0.002), dark, strength=0.35)


def _chimneys(press: Press, level: float, dark: Colour) -> None:
    shapes: list[list[Point]] = [[(0.1, level + 0.02), (0.1, level - 0.03), (0.3, level - 0.045), (0.3, level + 0.02)]]
    for x, high in ((0.13, 0.2), (0.19, 0.26), (0.245, 0.17)):
        shapes.append([(x - 0.012, level), (x - 0.008, level - high), (x + 0.008, level - high), (x + 0.012, level)])
    press.pull(press.shape(*shapes), dark, strength=0.9)


def _island(press: Press, level: float, dark: Colour) -> None:
    ridge = [
        (0.2 + 0.6 * step / 40, level - 0.075 * math.sin(math.pi * step / 40) ** 2 * (1 + 0.3 * math.sin(step * 0.9)))
        for step in range(41)
    ]
    press.pull(press.shape([*ridge, (0.82, level + 0.006), (0.18, level + 0.006)]), dark, strength=0.92)
    trees = [
        [(x - 0.008, level - 0.05), (x, level - high), (x + 0.008, level - 0.05)]
        for x, high in ((0.44, 0.13), (0.47, 0.15), (0.495, 0.125), (0.55, 0.118))
    ]
    press.pull(press.shape(*trees), dark, strength=0.92)


def _ferry(press: Press, level: float, dark: Colour) -> None:
    hull = [(0.2, level), (0.225, level + 0.034), (0.5, level + 0.034), (0.53, level - 0.006)]
    decks = [[(0.24, level), (0.25, level - 0.03), (0.47, level - 0.03), (0.48, level)],
             [(0.27, level - 0.03), (0.28, level - 0.056), (0.42, level - 0.056), (0.43, level - 0.03)],
             [(0.33, level - 0.056), (0.335, level - 0.11), (0.365, level - 0.11), (0.37, level - 0.056)]]  # fmt: skip
    press.pull(press.shape(hull, *decks), dark, strength=0.92)
    windows = [
        [(x, level - 0.02), (x, level - 0.011), (x + 0.009, level - 0.011), (x + 0.009, level - 0.02)]
        for x in [0.262 + 0.0205 * n for n in range(10)]
    ]
    press.pull(press.shape(*windows), OCHRE)


def _birds(press: Press, level: float, dark: Colour) -> None:
    paths = []
    for _ in range(34):
        x, y = 0.18 + 0.64 * press.chance.random(), level - 0.26 * press.chance.random() ** 0.7
        wing = 0.008 + 0.014 * press.chance.random()
        tilt = (press.chance.random() - 0.5) * 0.012
        paths.append(
            [
                (x - wing, y - wing * 0.5 + tilt),
                (x - wing * 0.35, y - wing * 0.62),
                (x, y),
                (x + wing * 0.4, y - wing * 0.6),
                (x + wing, y - wing * 0.45 - tilt),
            ]
        )
    press.pull(press.lines(*paths, width=0.0024), dark)


_HIDDEN = {"boat": _boat, "chimneys": _chimneys, "island": _island, "ferry": _ferry, "birds": _birds}

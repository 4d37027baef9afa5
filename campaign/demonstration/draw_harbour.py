"""The harbour in cut paper: cranes, sheds, boats, buoys, nets."""

import math

from campaign.demonstration.press import FOG, INDIGO, NIGHT, SEA, SLATE, Colour, Point, Press


def cranes(press: Press, *, sky: Colour, near: Colour, far: Colour, sun: Colour) -> None:
    """Cranes one behind the other against a low sun."""
    quay = press.tall * 0.84
    press.overprint(press.spatter(press.fade(0, press.tall * 1.1)), sky, strength=0.6)
    press.pull(press.disc((0.66, press.tall * 0.5), 0.13), sun)
    for x, scale, colour in ((0.8, 0.52, far), (0.54, 0.66, far), (0.24, 0.88, near)):
        _crane(press, x, quay, scale, colour)
    press.pull(press.shape([(-0.05, quay), (1.05, quay), (1.05, quay + 0.05), (-0.05, quay + 0.05)]), near)
    press.overprint(press.fade(quay + 0.02, press.tall, upward=True), SLATE)
    press.lift(press.gouges(quay + 0.065, press.tall, count=110, length=0.11, weight=0.003))


def _crane(press: Press, x: float, quay: float, scale: float, colour: Colour) -> None:
    def at(dx: float, up: float) -> Point:
        return x + dx * scale, quay - up * scale * press.tall

    legs = [[at(a, 0), at(b, 0.5), at(b + 0.016, 0.5), at(a + 0.02, 0)] for a, b in ((-0.09, -0.055), (0.08, 0.045))]
    beam = [at(-0.07, 0.27), at(-0.07, 0.3), at(0.08, 0.3), at(0.08, 0.27)]
    house = [at(-0.075, 0.5), at(-0.075, 0.6), at(0.045, 0.6), at(0.075, 0.5)]
    mast = [at(-0.03, 0.6), at(-0.012, 0.83), at(0.004, 0.83), at(0.02, 0.6)]
    jib = [at(0.02, 0.6), at(0.3, 0.9), at(0.31, 0.885), at(0.05, 0.56)]
    ties = [[at(-0.004, 0.83), at(0.3, 0.89)], [at(-0.006, 0.83), at(-0.07, 0.59)], [at(0.302, 0.89), at(0.302, 0.42)]]
    cross = [[at(-0.075, 0.02), at(0.06, 0.28)], [at(0.085, 0.02), at(-0.06, 0.28)]]
    load = [at(0.287, 0.42), at(0.317, 0.42), at(0.317, 0.37), at(0.287, 0.37)]
    ropes = press.lines(*ties, *cross, width=0.0042 * scale + 0.0012)
    press.pull(press.both(press.shape(*legs, beam, house, mast, jib, load), ropes), colour)


def sheds(press: Press, *, colours: tuple[Colour, ...], sky: Colour) -> None:
    """Net sheds shoulder to shoulder, each its own colour, and the same again in the water."""
    quay = press.tall * 0.62
    press.overprint(press.fade(0, quay), sky)
    x = 0.045
    doors, windows, roofs = [], [], []
    for index in range(8):
        wide = (0.11, 0.085, 0.14, 0.1, 0.12, 0.09)[index % 6]
        high = press.tall * (0.3, 0.36, 0.25, 0.4, 0.28, 0.33)[index % 6]
        colour = colours[index % len(colours)]
        press.overprint(press.shape(_block(x, quay + high * 0.8, wide, high * 0.8)), colour, strength=0.42)
        press.pull(press.shape(_block(x, quay, wide, high)), colour)
        roofs.append(
            [(x - 0.008, quay - high), (x + wide / 2, quay - high - wide * 0.62), (x + wide + 0.008, quay - high)]
        )
        doors.append(_block(x + wide * 0.34, quay, wide * 0.32, 0.075))
        windows.append(_block(x + wide * 0.38, quay - high * 0.66, wide * 0.24, high * 0.2))
        x += wide + 0.012
    press.pull(press.shape(*roofs[::2], *doors), NIGHT)
    press.pull(press.shape(*roofs[1::2]), INDIGO)
    press.lift(press.shape(*windows), strength=0.95)
    press.pull(
        press.shape([(-0.05, quay - 0.004), (1.05, quay - 0.004), (1.05, quay + 0.014), (-0.05, quay + 0.014)]), NIGHT
    )
    press.lift(press.gouges(quay + 0.03, press.tall, count=240, length=0.13, weight=0.0032))
    press.overprint(press.fade(quay, press.tall * 1.2, upward=True), SEA)


def _block(x: float, foot: float, wide: float, high: float) -> list[Point]:
    return [(x, foot), (x, foot - high), (x + wide, foot - high), (x + wide, foot)]


def buoys(press: Press, *, ground: Colour, colours: tuple[Colour, ...]) -> None:
    """Marks of the fairway in a row, like a sign alphabet."""
    press.pull(press.below([(-0.05, -0.05), (1.05, -0.05)]), ground)
    level = press.tall * 0.7
    water = press.below(press.curve(level, swing=0.004, waves=0.8))
    press.overprint(water, SEA)
    marks = []
    for index, colour in enumerate(colours):
        x = (index + 0.5) / len(colours)
        lean = 0.03 * math.sin(index * 2.1)
        body = _BODIES[index % 4](x, level, lean, press.tall)
        press.pull(press.shape(body), colour)
        bands = [_block(0, level - up * press.tall, 1, 0.05 * press.tall) for up in (0.1, 0.22)]
        press.lift(press.within(press.shape(*bands), press.shape(body)))
        top = (x + lean * 1.5, level - 0.55 * press.tall)
        press.pull(press.lines([(x + lean, level - 0.34 * press.tall), top], width=0.005), NIGHT)
        marks.append(
            press.disc(top, 0.013) if index % 2 else press.shape(_block(top[0] - 0.016, top[1] + 0.006, 0.032, 0.02))
        )
    press.pull(press.both(*marks), NIGHT)
    press.pull(press.within(press.gouges(level, press.tall, count=190, length=0.1, weight=0.003), water), ground)


def _can(x: float, y: float, lean: float, tall: float) -> list[Point]:
    up = 0.36 * tall
    return [(x - 0.045, y + 0.03), (x - 0.038 + lean, y - up), (x + 0.038 + lean, y - up), (x + 0.045, y + 0.03)]


def _cone(x: float, y: float, lean: float, tall: float) -> list[Point]:
    up = 0.42 * tall
    return [(x - 0.058, y + 0.03), (x - 0.01 + lean, y - up), (x + 0.01 + lean, y - up), (x + 0.058, y + 0.03)]


def _ball(x: float, y: float, lean: float, tall: float) -> list[Point]:
    turns = [2 * math.pi * step / 48 for step in range(48)]
    return [(x + lean * 0.6 + 0.062 * math.cos(turn), y - 0.16 * tall + 0.21 * tall * math.sin(turn)) for turn in turns]


def _spar(x: float, y: float, lean: float, tall: float) -> list[Point]:
    up = 0.48 * tall
    return [(x - 0.018, y + 0.03), (x - 0.014 + lean, y - up), (x + 0.014 + lean, y - up), (x + 0.018, y + 0.03)]


_BODIES = (_can, _cone, _ball, _spar)


def net(press: Press, *, ground: Colour, cord: Colour, floats: Colour) -> None:
    """A net hung up to dry: diamonds that sag, corks along the upper edge."""
    press.pull(press.below([(-0.05, -0.05), (1.05, -0.05)]), ground)
    press.overprint(press.spatter(press.fade(press.tall * 0.3, press.tall * 1.4, upward=True)), SLATE, strength=0.45)
    paths: list[list[Point]] = []

    def sag(x: float) -> float:
        return press.tall * 0.16 + 0.1 * math.sin(math.pi * ((x * 2) % 1)) + 0.02 * x

    for start in range(-14, 30):
        for direction in (1, -1):
            path = []
            for step in range(29):
                down = step / 28
                x = start / 16 + direction * down * 0.85
                path.append(
                    (x, sag(min(max(x, 0), 1)) + down * press.tall * (0.7 + 0.05 * math.sin(x * 7)) * (1 - 0.1 * down))
                )
            paths.append(path)
    press.pull(press.lines(*paths, width=0.0042), cord)
    edge = [(step / 60, sag(step / 60) - 0.002) for step in range(-2, 63)]
    press.pull(press.lines(edge, width=0.009), NIGHT)
    corks = press.both(*(press.disc((x / 14 + 0.036, sag(x / 14 + 0.036) - 0.004), 0.021) for x in range(14)))
    press.pull(corks, floats)


def sails(press: Press, *, sky: Colour, sea: Colour, colours: tuple[Colour, ...]) -> None:
    """Small boats going home, all on the same wind."""
    level = press.tall * 0.7
    press.overprint(press.fade(0, press.tall), sky)
    press.pull(press.below(press.curve(level, swing=0.004, waves=0.7)), sea)
    for index, colour in enumerate(colours):
        x, size = 0.14 + 0.72 * index / max(len(colours) - 1, 1), (0.5, 0.9, 0.62, 1.15, 0.72)[index % 5]
        y = level + (0.01, 0.05, 0.02, 0.09, 0.03)[index % 5]
        main = [(x, y - 0.03 * size), (x, y - 0.36 * size), (x + 0.15 * size, y - 0.04 * size)]
        fore = [
            (x - 0.012 * size, y - 0.04 * size),
            (x - 0.012 * size, y - 0.31 * size),
            (x - 0.1 * size, y - 0.05 * size),
        ]
        hull = [
            (x - 0.12 * size, y - 0.024 * size),
            (x - 0.07 * size, y + 0.03 * size),
            (x + 0.1 * size, y + 0.03 * size),
            (x + 0.16 * size, y - 0.024 * size),
        ]
        press.pull(press.shape(main), colour)
        press.lift(press.shape(fore), strength=0.95)
        press.overprint(press.shape(fore), FOG)
        press.pull(press.shape(hull), NIGHT)
    press.lift(press.gouges(level + 0.03, press.tall, count=190, length=0.1, weight=0.0028))

"""
A small printing press: paper, inks pulled through masks, grain. Not for subjects: those are in the `draw_*` modules.

Every picture is made of few inks on warm paper, cut edges and visible hand work, drawn from a seed and nothing else.
"""

import hashlib
import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from PIL import Image, ImageChops, ImageDraw

Point = tuple[float, float]
Colour = tuple[int, int, int]
Box = tuple[int, int, int, int]

PAPER: Colour = (243, 236, 222)
INDIGO: Colour = (30, 43, 66)
SLATE: Colour = (70, 98, 112)
TEAL: Colour = (44, 106, 112)
SEA: Colour = (126, 164, 166)
FOG: Colour = (203, 211, 207)
SAND: Colour = (219, 196, 154)
MUD: Colour = (136, 116, 98)
OCHRE: Colour = (222, 168, 66)
RUST: Colour = (181, 88, 58)
ROSE: Colour = (226, 170, 146)
NIGHT: Colour = (18, 25, 41)

_PATCH_PX = 832  # noise repeats after so many pixels; a tile holds three patches each way, so any cut fits


class Press:
    """
    One print in the making.

    Coordinates run from 0 to 1 across the width and 0 to `tall` down the height, so a motif fits any format.
    """

    def __init__(self, code: str, *, width_px: int, height_px: int, paper: Colour = PAPER) -> None:
        seed = int.from_bytes(hashlib.sha256(code.encode()).digest()[:8], "big")
        self.chance = np.random.default_rng(seed)
        self.width_px, self.height_px = width_px, height_px
        self.tall = height_px / width_px
        self.image = Image.new("RGB", (width_px, height_px), paper)
        self._paper = paper

    # masks

    def blank(self) -> Image.Image:
        """An empty mask, for drawing on with hard edges; they become cut edges when ink is pulled."""
        return Image.new("L", (self.width_px, self.height_px), 0)

    def shape(self, *polygons: Sequence[Point]) -> Image.Image:
        """A mask of filled polygons."""
        mask = self.blank()
        draw = ImageDraw.Draw(mask)
        for polygon in polygons:
            draw.polygon([self._at(point) for point in polygon], fill=255)
        return mask

    def lines(self, *paths: Sequence[Point], width: float) -> Image.Image:
        """A mask of open lines, `width` as a share of the picture's width."""
        mask = self.blank()
        draw = ImageDraw.Draw(mask)
        for path in paths:
            draw.line([self._at(p) for p in path], fill=255, width=max(1, round(width * self._unit)), joint="curve")
        return mask

    def disc(self, centre: Point, radius: float) -> Image.Image:
        """A filled circle."""
        mask = self.blank()
        x, y = self._at(centre)
        reach = radius * self._unit
        ImageDraw.Draw(mask).ellipse((x - reach, y - reach, x + reach, y + reach), fill=255)
        return mask

    def ring(self, centre: Point, radius: float, width: float) -> Image.Image:
        """A circle's line."""
        return ImageChops.subtract(self.disc(centre, radius + width / 2), self.disc(centre, radius - width / 2))

    def fade(self, top: float, bottom: float, *, upward: bool = False) -> Image.Image:
        """Ink rolled thinner and thinner from `top` to `bottom` (or the other way), full on the near side."""
        ramp = np.linspace(0, self.tall, self.height_px)
        share = np.clip((ramp - top) / max(bottom - top, 1e-6), 0, 1)
        values = (share if upward else 1 - share) * 255
        return _rolled(Image.fromarray(np.repeat(values.astype(np.uint8).reshape(-1, 1), self.width_px, axis=1)))

    def spatter(self, fade: Image.Image) -> Image.Image:
        """A fade broken into drops, as from a brush tapped over the paper."""
        drops = ImageChops.add(fade, self._cut(_edge_tile(), self._whole), scale=1.0, offset=-128)
        return _rolled(drops.point(_HARDEN))

    def within(self, mask: Image.Image, area: Image.Image) -> Image.Image:
        """The part of a mask inside another; rolled on if either of them is."""
        part = ImageChops.multiply(mask, area)
        return _rolled(part) if _ROLLED in mask.info or _ROLLED in area.info else part

    def without(self, mask: Image.Image, *holes: Image.Image) -> Image.Image:
        """A drawn mask with drawn holes cut out."""
        for hole in holes:
            mask = ImageChops.subtract(mask, hole)
        return mask

    def both(self, *masks: Image.Image) -> Image.Image:
        """Drawn masks laid together."""
        whole = masks[0]
        for mask in masks[1:]:
            whole = ImageChops.lighter(whole, mask)
        return whole

    def gouges(self, top: float, bottom: float, *, count: int, length: float, weight: float = 0.0022) -> Image.Image:
        """Short cuts of the blade lying along the water: thin lenses, closer together towards the horizon (`top`)."""
        mask = self.blank()
        draw = ImageDraw.Draw(mask)
        depth = self.chance.random(count) ** 1.6
        across = self.chance.random(count) * 1.2 - 0.1
        size = 0.4 + self.chance.random(count)
        for near, x, grow in zip(depth.tolist(), across.tolist(), size.tolist(), strict=True):
            y = top + near * (bottom - top)
            half = length * grow * (0.25 + near) / 2
            thick = weight * (0.35 + near) * grow
            points = [(x - half, y), (x - half * 0.2, y - thick), (x + half * 0.4, y - thick * 0.8), (x + half, y),
                      (x, y + thick)]  # fmt: skip
            draw.polygon([self._at(point) for point in points], fill=255)
        return mask

    def curve(self, level: float, *, swing: float, waves: float, points: int = 120) -> list[Point]:
        """A wandering horizontal line from edge to edge around `level`."""
        x = np.linspace(-0.02, 1.02, points)
        y = np.full(points, level)
        for octave in range(1, 5):
            phase = self.chance.random() * 2 * math.pi
            bend = waves * octave * (0.8 + 0.4 * self.chance.random())
            y = y + swing / octave**1.3 * np.sin(2 * math.pi * bend * x + phase)
        return list(zip(x.tolist(), y.tolist(), strict=True))

    def below(self, line: Sequence[Point]) -> Image.Image:
        """Everything under a line."""
        return self.shape([*line, (1.05, self.tall + 0.05), (-0.05, self.tall + 0.05)])

    # inks

    def pull(self, mask: Image.Image, colour: Colour, *, strength: float = 1.0) -> None:
        """Print one colour through a mask: cut edges, an uneven film of ink, opaque."""
        inked = self._film(mask, strength=strength)
        if inked is not None:
            box, film = inked
            self.image.paste(colour, box, film)

    def overprint(self, mask: Image.Image, colour: Colour, *, strength: float = 1.0) -> None:
        """Print one transparent colour through a mask: what lies beneath shines through and darkens it."""
        inked = self._film(mask, strength=strength)
        if inked is not None:
            box, film = inked
            layer = ImageChops.multiply(self.image.crop(box), Image.new("RGB", film.size, colour))
            self.image.paste(layer, box, film)

    def lift(self, mask: Image.Image, *, strength: float = 1.0) -> None:
        """Cut the block away: the paper shows."""
        self.pull(mask, self._paper, strength=strength)

    def finish(self) -> Image.Image:
        """Paper grain over all."""
        grain = self._cut(_grain_tile(), self._whole)
        return ImageChops.multiply(self.image, Image.merge("RGB", (grain, grain, grain)))

    def _film(self, mask: Image.Image, *, strength: float) -> tuple[Box, Image.Image] | None:
        """Where ink goes and how much of it, on the smallest part of the picture that the mask reaches."""
        found = mask.getbbox()
        if found is None:
            return None
        if _ROLLED in mask.info:
            box = found
            film = mask.crop(box)
        else:
            # Brought down to half the size and up again the edges are soft; coarse noise added and hardened once more,
            # they look cut by hand.
            box = self._widened(found)
            soft = mask.crop(box).reduce(2).resize((box[2] - box[0], box[3] - box[1]), Image.Resampling.BILINEAR)
            film = ImageChops.add(soft, self._cut(_edge_tile(), box), scale=1.0, offset=-128).point(_HARDEN)
        film = ImageChops.multiply(film, self._cut(_film_tile(), box))
        return box, film if strength >= 1 else film.point([round(value * strength) for value in range(256)])

    def _widened(self, found: Box) -> Box:
        # A few pixels more on every side, because soft edges reach out, and never beyond the paper.
        left, top = max(0, found[0] - 8), max(0, found[1] - 8)
        return left, top, min(self.width_px, found[2] + 8), min(self.height_px, found[3] + 8)

    def _cut(self, tile: Image.Image, box: Box) -> Image.Image:
        """As much of a noise tile as a box needs, from a place of its own every time."""
        x, y = (int(value) for value in self.chance.integers(0, _PATCH_PX, 2))
        return tile.crop((x, y, x + box[2] - box[0], y + box[3] - box[1]))

    @property
    def _whole(self) -> Box:
        return 0, 0, self.width_px, self.height_px

    @property
    def _unit(self) -> float:
        return float(self.width_px)

    def _at(self, point: Point) -> Point:
        return point[0] * self._unit, point[1] * self._unit


# Marks a mask that was rolled on or spattered and has no cut edge.
_ROLLED = "rolled"
_HARDEN = [min(255, max(0, round((value - 128) * 4 + 128))) for value in range(256)]


def _rolled(mask: Image.Image) -> Image.Image:
    mask.info[_ROLLED] = True
    return mask


def _noise(seed: int, *, blur: float) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Noise of mean 0 and deviation 1 that repeats without a seam, softened by `blur` pixels."""
    values = np.random.default_rng(seed).standard_normal((_PATCH_PX, _PATCH_PX))
    steps = np.fft.fftfreq(_PATCH_PX)
    kept = np.exp(-2 * (math.pi * blur) ** 2 * (steps[:, None] ** 2 + steps[None, : steps.size // 2 + 1] ** 2))
    soft = np.fft.irfft2(np.fft.rfft2(values) * kept, s=values.shape)
    return np.asarray(soft / soft.std())


def _tile(values: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> Image.Image:
    patch = np.clip(values, 0, 255).astype(np.uint8)
    return Image.fromarray(np.tile(patch, (3, 3)))


@lru_cache(maxsize=1)
def _edge_tile() -> Image.Image:
    return _tile(128 + 30 * _noise(11, blur=2.2) + 16 * _noise(12, blur=7))


@lru_cache(maxsize=1)
def _film_tile() -> Image.Image:
    """How much ink stays on the paper: mostly all, thinner in clouds, and tiny spots that the roller missed."""
    spots = np.clip(_noise(22, blur=1.1) - 2.3, 0, 1) * 150
    return _tile(247 + 5 * _noise(21, blur=14) - spots)


@lru_cache(maxsize=1)
def _grain_tile() -> Image.Image:
    return _tile(249 + 3.2 * _noise(31, blur=0.7) + 2.0 * _noise(32, blur=3))

"""The works of the demonstration show: what each is called and how it is drawn. Everything here is invented."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from PIL import Image

from campaign.demonstration import draw_flats as flats
from campaign.demonstration import draw_harbour as harbour
from campaign.demonstration import draw_lights as lights
from campaign.demonstration.press import (
    FOG,
    INDIGO,
    MUD,
    NIGHT,
    OCHRE,
    PAPER,
    ROSE,
    RUST,
    SAND,
    SEA,
    SLATE,
    TEAL,
    Press,
)

# Width and height in pixels, and the sizes on offer as an artist writes them, smallest first.
_FORMATS = {
    "wide": ((1600, 1067), "30x20cm = 85%; 45x30cm; 60x40cm = 115%"),
    "upright": ((1067, 1600), "20x30cm = 85%; 30x45cm; 40x60cm = 115%"),
    "square": ((1300, 1300), "25x25cm = 87%; 40x40cm = 107%"),
    "long": ((1600, 800), "40x20cm = 90%; 60x30cm = 107%; 80x40cm = 120%"),
}


@dataclass(frozen=True, slots=True)
class DemonstrationWork:
    """One invented work. file: its picture's name. alt: what is seen, for those who cannot see it."""

    code: str
    title: str
    year: str
    need: int
    series: str
    form: str
    file: str
    alt: str
    finishes: str
    draw: Callable[[Press], None] = field(kw_only=True)

    @property
    def sizes(self) -> str:
        """The sizes on offer, as they stand in the table."""
        return _FORMATS[self.form][1]


def draw_work(work: DemonstrationWork) -> Image.Image:
    """The picture of a work, the same for the same code every time."""
    width_px, height_px = _FORMATS[work.form][0]
    press = Press(work.code, width_px=width_px, height_px=height_px)
    work.draw(press)
    return press.finish()


def _work(
    code: str, title: str, year: str, need: int, series: str, form: str, alt: str, **motif: Any
) -> DemonstrationWork:
    draw = motif.pop("draw")
    # Fog and moons are too quiet for bare paper; the others never go to the lab.
    finishes = "tray; lab; window" if series in {"Fog", "Tide Table"} else "bare; tray; window"
    ending = "png" if code == "w18" else "jpg"
    name = "-".join("".join(letter if letter.isalnum() else " " for letter in title.casefold()).split())
    return DemonstrationWork(
        code, title, year, need, series, form, f"{code}-{name}.{ending}", alt, finishes, draw=partial(draw, **motif)
    )


WORKS = (
    _work("w01", "Low Water, Evening", "2025", 5, "Ebb", "wide",
          "Bands of sand and sea under an ochre sun.",
          draw=flats.ebb, sky=SEA, bands=(SLATE, SAND, TEAL, MUD, INDIGO), sun=(0.68, 0.15)),
    _work("w02", "Low Water, Red Sun", "2025", 4, "Ebb", "wide",
          "A red sun touches a red sea; three bands of flat lie before it.",
          draw=flats.ebb, sky=ROSE, bands=(RUST, SAND, MUD, INDIGO), sun=(0.3, 0.2), sun_colour=RUST),
    _work("w03", "Low Water, Four in the Morning", "2026", 3, "Ebb", "wide",
          "Dark bands of sea under a pale small moon.",
          draw=flats.ebb, sky=INDIGO, bands=(SLATE, INDIGO, TEAL, NIGHT), sun=(0.46, 0.13), sun_colour=PAPER),
    _work("w04", "Three Channels", "2025", 4, "Ebb", "wide",
          "Three channels of green water wind over sand towards the reader.",
          draw=flats.channels, ground=SAND, water=TEAL, sky=SEA, bends=((0.5, 0.2), (0.34, -0.16), (0.72, -0.12))),
    _work("w05", "The Way the Water Went", "2026", 3, "Ebb", "wide",
          "Two pale channels on brown mud under a rosy sky.",
          draw=flats.channels, ground=MUD, water=FOG, sky=ROSE, bends=((0.62, -0.26), (0.3, 0.12))),
    _work("w06", "Ripple Alphabet", "2026", 2, "Ebb", "wide",
          "Ripples of sand close by, every fifth one dark.",
          draw=flats.ripples, ground=SAND, ridge=MUD, light=INDIGO),
    _work("w07", "Poles, Counting Out", "2024", 4, "Ebb", "wide",
          "A row of poles walks into a grey haze over still water.",
          draw=flats.poles, sky=SLATE, water=SEA, wood=INDIGO),
    _work("w08", "Cutter in the Second Bank", "2024", 5, "Fog", "long",
          "A fishing cutter between banks of green fog.",
          draw=flats.fog, banks=(FOG, SEA, SLATE, SEA, TEAL), hidden="boat"),
    _work("w09", "The Old Glue Works", "2024", 2, "Fog", "long",
          "Three chimneys stand in rose-coloured fog.",
          draw=flats.fog, banks=(ROSE, SAND, ROSE, SLATE), hidden="chimneys"),
    _work("w10", "An Island, Possibly", "2025", 4, "Fog", "long",
          "An island with four firs between pale banks of fog.",
          draw=flats.fog, banks=(FOG, FOG, SEA, SLATE), hidden="island"),
    _work("w11", "Last Ferry", "2025", 3, "Fog", "long",
          "A ferry with lit windows in dark fog.",
          draw=flats.fog, banks=(SLATE, SLATE, INDIGO, SLATE, INDIGO), hidden="ferry", dark=FOG),
    _work("w12", "Where the Knots Went", "2026", 3, "Fog", "long",
          "A flock of small birds over sand-coloured fog.",
          draw=flats.fog, banks=(SAND, FOG, SAND, SEA), hidden="birds"),
    _work("w13", "Two Beams", "2024", 5, "Lights", "upright",
          "A lighthouse in red and white throws two beams over a dark sea.",
          draw=lights.tower, sky=SEA, dark=INDIGO, stripe=RUST, beams=2, bands=3),
    _work("w14", "Nine Beams for a Wedding", "2025", 3, "Lights", "upright",
          "A banded lighthouse with nine beams spread over the night.",
          draw=lights.tower, sky=SLATE, dark=NIGHT, stripe=INDIGO, beams=9, bands=4, at=0.42),
    _work("w15", "Before It Is Lit", "2025", 4, "Lights", "upright",
          "A blue and white lighthouse under a red evening sky, not yet lit.",
          draw=lights.tower, sky=ROSE, dark=INDIGO, stripe=INDIGO, beams=0, bands=2, at=0.6),
    _work("w16", "Seen from the Bar", "2026", 4, "Lights", "upright",
          "Rings of blue light widen around one small lamp over black water.",
          draw=lights.rings, ground=NIGHT, ink=SEA, heart=OCHRE),
    _work("w17", "Noon Signal", "2026", 2, "Lights", "upright",
          "Red rings around a dark disc over grey water.",
          draw=lights.rings, ground=SAND, ink=RUST, heart=NIGHT, count=8),
    _work("w18", "Tide Table, Winter", "2025", 3, "Tide Table", "square",
          "Five phases of the moon over the curve of the tide at night.",
          draw=lights.moons, ground=NIGHT, phases=5, ink=FOG, tide=SEA),
    _work("w19", "Tide Table, Summer", "2025", 3, "Tide Table", "square",
          "Seven phases of the moon over the curve of the tide on sand.",
          draw=lights.moons, ground=SAND, phases=7, ink=PAPER, tide=SLATE),
    _work("w20", "Spring Tide, Rust", "2024", 5, "Tide Table", "square",
          "A great rust-red moon half risen, its light in strips on the sea.",
          draw=lights.disc_over_water, sky=ROSE, disc=RUST, water=INDIGO),
    _work("w21", "Spring Tide, White", "2024", 3, "Tide Table", "square",
          "A great white moon half risen over a black sea.",
          draw=lights.disc_over_water, sky=SLATE, disc=PAPER, water=NIGHT),
    _work("w22", "Three Cranes", "2025", 4, "Harbour", "upright",
          "Three harbour cranes one behind the other before a red sun.",
          draw=harbour.cranes, sky=SLATE, near=NIGHT, far=SLATE, sun=RUST),
    _work("w23", "Cranes, Day Shift", "2026", 2, "Harbour", "wide",
          "Cranes in green and grey before an ochre sun.",
          draw=harbour.cranes, sky=SEA, near=TEAL, far=SEA, sun=OCHRE),
    _work("w24", "Eight Net Sheds", "2024", 5, "Harbour", "wide",
          "Eight narrow net sheds in five colours, mirrored in still water.",
          draw=harbour.sheds, colours=(RUST, SLATE, OCHRE, TEAL, ROSE), sky=SEA),
    _work("w25", "Fairway Grammar", "2026", 3, "Harbour", "long",
          "Six buoys in a row, each of another shape and colour.",
          draw=harbour.buoys, ground=SAND, colours=(RUST, TEAL, INDIGO, OCHRE, RUST, SLATE)),
    _work("w26", "Hung Up to Dry", "2025", 2, "Harbour", "wide",
          "A pale net with ochre corks hangs before deep green.",
          draw=harbour.net, ground=TEAL, cord=PAPER, floats=OCHRE),
    _work("w27", "All on One Wind", "2024", 4, "Harbour", "wide",
          "Five small sailing boats under a rosy sky.",
          draw=harbour.sails, sky=ROSE, sea=TEAL, colours=(RUST, OCHRE, INDIGO, RUST, SAND)),
)  # fmt: skip

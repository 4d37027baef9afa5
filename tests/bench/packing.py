"""Two thousand orders into mailers and tubes, from one stock, against five seconds."""

import random
from time import process_time

from fulfilment.packing import LETTER_POST, Box, Consignment, Leaf, Limits, Mailer, pack_all
from tests.bench.rows import Row

ORDERS, LIMIT_S = 2_000, 5.0
LEAVES = (
    Leaf("small", 210, 297, 400, 30),
    Leaf("middle", 297, 420, 400, 60, least_tube_mm=70),
    Leaf("large", 420, 594, 500, 120, least_tube_mm=76),
)
MAILERS = (
    Mailer("envelope", Box(320, 230, 6), Box(330, 240, 8), 90, 80, 700, edge_mm=5),
    Mailer("board", Box(450, 330, 10), Box(460, 340, 14), 250, 220, 900, edge_mm=5),
    Mailer("short tube", Box(450, 80, 80, is_tube=True), Box(470, 90, 90, is_tube=True), 220, 190, 500),
    Mailer("long tube", Box(640, 100, 100, is_tube=True), Box(660, 106, 106, is_tube=True), 320, 260, 500),
)


def packing_rows() -> list[Row]:
    """Thirty zones of letter post, orders of one to eight prints, mailers that run out."""
    chance = random.Random(1)
    zones = {f"zone {n}": (LETTER_POST if n else Limits("home"), _prices(n)) for n in range(30)}
    orders = [
        Consignment(
            key,
            tuple(
                (leaf, chance.randint(1, 4)) for leaf in sorted(chance.sample(LEAVES, chance.randint(1, 2)), key=str)
            ),
            f"zone {chance.randrange(30)}",
        )
        for key in range(ORDERS)
    ]
    started = process_time()
    packed, refused = pack_all(orders, mailers=MAILERS, services=zones)
    seconds = process_time() - started
    assert len(packed) == ORDERS and not refused, list(refused.values())[:1]
    parcels = sum(map(len, packed.values()))
    return [Row(f"{ORDERS} orders into {parcels} parcels, one processor", seconds, LIMIT_S, "s", "limit", 1.0)]


def _prices(zone: int):  # type: ignore[no-untyped-def]
    def price(box: Box, mass_g: int, copies: int) -> int | None:
        return 300 + 40 * zone + mass_g if mass_g <= 2_000 else None

    return price

"""
How the whole staircase grows with the number of works: `python -m tests.bench.growth` measures it anew.

Writes the picture growth.svg and the table between the marks in this folder's README.md; nothing else does.
"""

from pathlib import Path
from time import process_time

from campaign.planning import build_staircase
from tests.bench.memory import peak_mib
from tests.bench.whole import widest_gap
from tests.bench.whole_shows import whole_show

SIZES = (15, 30, 45, 60, 90, 120)
SEED = 1
HERE = Path(__file__).parent
MARK = "<!-- growth -->"
LEFT, TOP, WIDTH, HEIGHT = 56, 16, 520, 250
ROOM_FOR_WORDS = 44


def measure(*, works: int) -> tuple[float, int, int, float, float]:
    """Seconds of the processor, steps and how many are open, widest gap in per cent, peak MiB."""
    request = whole_show(works=works, seed=SEED)
    start = process_time()
    staircase = build_staircase(request)
    seconds = process_time() - start
    still_open = sum(not step.proved for step in staircase.steps)
    _, peak = peak_mib(works=works, seed=SEED)
    return seconds, len(staircase.steps), still_open, widest_gap(staircase), peak


def as_table(rows: list[tuple[int, float, int, int, float, float]]) -> str:
    """The figures as a Markdown table."""
    lines = [
        "| works | seconds | steps | not proved | bound above, from mid budget up | peak memory |",
        "|--:|--:|--:|--:|--:|--:|",
    ]
    for works, seconds, steps, still_open, gap, peak in rows:
        lines.append(f"| {works} | {seconds:.2f} | {steps} | {still_open} | at most {gap:.1f} % | {peak:.0f} MiB |")
    return "\n".join(lines)


def as_svg(rows: list[tuple[int, float, int, int, float, float]]) -> str:
    """Seconds against works, both from nought, points joined by straight lines."""
    most_works, most_seconds = rows[-1][0], _round_up(max(row[1] for row in rows))

    def at(works: float, seconds: float) -> tuple[float, float]:
        return LEFT + WIDTH * works / most_works, TOP + HEIGHT * (1 - seconds / most_seconds)

    bottom, right = TOP + HEIGHT, LEFT + WIDTH
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{right + 24}" height="{bottom + ROOM_FOR_WORDS}" '
        f'viewBox="0 0 {right + 24} {bottom + ROOM_FOR_WORDS}" font-family="sans-serif" font-size="12" fill="#333">',
        "<title>Seconds for the whole staircase by number of works</title>",
        f'<rect width="{right + 24}" height="{bottom + ROOM_FOR_WORDS}" fill="#fdfbf7"/>',
    ]
    for part in range(5):
        seconds = most_seconds * part / 4
        _, y = at(0, seconds)
        parts.append(f'<path d="M{LEFT} {y:.1f}H{right}" stroke="#ddd6c8"/>')
        parts.append(f'<text x="{LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{seconds:g} s</text>')
    for works, seconds, *_ in rows:
        x, y = at(works, seconds)
        parts.append(f'<text x="{x:.1f}" y="{bottom + 18}" text-anchor="middle">{works}</text>')
        parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="#c8452d"/>')
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in (at(works, seconds) for works, seconds, *_ in rows))
    parts.append(f'<polyline points="{line}" fill="none" stroke="#c8452d" stroke-width="1.5"/>')
    parts.append(f'<text x="{LEFT + WIDTH / 2}" y="{bottom + 36}" text-anchor="middle">works on offer</text>')
    return "\n".join([*parts, "</svg>", ""])


def _round_up(seconds: float) -> float:
    """The next number of the kind 1, 2, 4, 8 times a power of ten."""
    power = 0.01
    while True:
        for digit in (1, 2, 4, 8):
            if digit * power >= seconds:
                return digit * power
        power *= 10


def main() -> None:
    """Measure every size, draw, and put the table into the README."""
    rows = []
    for works in SIZES:
        rows.append((works, *measure(works=works)))
        print(rows[-1], flush=True)
    (HERE / "growth.svg").write_text(as_svg(rows), encoding="utf-8")
    readme = HERE / "README.md"
    before, _, rest = readme.read_text(encoding="utf-8").partition(MARK)
    _, _, after = rest.partition(MARK)
    readme.write_text(f"{before}{MARK}\n{as_table(rows)}\n{MARK}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()

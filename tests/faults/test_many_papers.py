"""
The papers of 500 parcels in thirty countries, while the worker that makes them is killed three times in the middle.

Stated limits: each paper exactly once, slips and labels in one order, every code of every page read back at 203 dots an
inch and equal to its row, every address whole and within its box; ninety seconds on two idle cores, with seeding and
reading.
"""

import json
import random
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
import zxingcpp

from campaign.addresses import format_postal_lines
from fulfilment.packing.label import INNER_HEIGHT_MM, INNER_WIDTH_MM, LABEL_SHEETS
from tests.processes import Program, laptop, run, serving, wait_until
from tests.reliability import record

pytestmark = [pytest.mark.papers, pytest.mark.timeout(300)]
PARCELS, KILLS = 500, 3
CHUNK = 25
KINDS = ("packing-slips", *(f"labels-{sheet.code}" for sheet in LABEL_SHEETS))
ALL_PAPERS = len(KINDS) * PARCELS // CHUNK
MM = 72 / 25.4
SLACK = 0.4  # mm by which the foot of a J hangs over its place
# As it lies, at the size it has: what a simple reader manages.
PLAIN_READER = {
    "formats": zxingcpp.BarcodeFormat.Code128 | zxingcpp.BarcodeFormat.QRCode,
    "try_rotate": False, "try_downscale": False, "try_invert": False,
}  # fmt: skip
# On a label: the hairlines from the drawing's top, and between which the recipient stands.
RULES_MM = (29, 101, 131)
TO_MM = (34.0, 98.0)


def ask(env: dict[str, str], query: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(Path(env["WALLFUL_DATA"]) / "wallful.sqlite3", timeout=30)) as database:
        return database.execute(query).fetchall()


def papers_made(env: dict[str, str]) -> int:
    return len(papers_of(env, "name"))


def papers_of(env: dict[str, str], columns: str) -> list[tuple[Any, ...]]:
    """Slips and labels; the customs notes that parcels abroad also have carry no code."""
    return ask(env, f"SELECT {columns} FROM campaign_paper WHERE name LIKE 'packing-slips-%' OR name LIKE 'labels-%'")


def state_of_job(env: dict[str, str]) -> str:
    return str(ask(env, "SELECT state FROM campaign_job")[0][0])


def let_leases_be_over(env: dict[str, str]) -> None:
    """As if the five minutes that the killed worker had asked for were over."""
    with closing(sqlite3.connect(Path(env["WALLFUL_DATA"]) / "wallful.sqlite3", timeout=30)) as database, database:
        database.execute("UPDATE campaign_job SET lease_until_at = NULL WHERE kind = 'papers'")


def kill_in_the_middle(site: Program, env: dict[str, str], *, seed: int) -> list[int]:
    """Kill -9 the site with its worker and its engines, three times spread over the job. Returns the papers then."""
    chance = random.Random(seed)
    made = []
    for kill in range(KILLS):
        least = 1 + kill * ALL_PAPERS // KILLS
        wait_until(lambda least=least: papers_made(env) >= least, what=f"{least} papers are made", seconds=120)
        time.sleep(chance.uniform(0.0, 1.0))
        site.kill()
        made.append(papers_made(env))
        let_leases_be_over(env)
        site.start()
    return made


@dataclass(frozen=True)
class Sheet:
    """
    A page of a paper: what its codes say, how many there are, and each piece of type with its box.

    Boxes are in mm from the left and the top.
    """

    code: str
    codes: int
    size_mm: tuple[float, float]
    type: list[tuple[str, float, float, float, float]]


def sheets(pdf: bytes) -> Iterator[Sheet]:
    for page in pypdfium2.PdfDocument(pdf):
        width, height = page.get_size()
        picture = page.render(scale=203 / 72, grayscale=True).to_pil()
        found = [one.text for one in zxingcpp.read_barcodes(picture, **PLAIN_READER)]
        (code,) = set(found)
        text = page.get_textpage()
        pieces = []
        for number in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(number)
            words = text.get_text_bounded(left, bottom, right, top)
            pieces.append((words, left / MM, (height - top) / MM, right / MM, (height - bottom) / MM))
        yield Sheet(code, len(found), (width / MM, height / MM), pieces)


def in_order(papers: list[tuple[str, int, bytes]], kind: str) -> list[Sheet]:
    """The pages of all papers of a kind, by the numbers in their names."""
    chosen = sorted(paper for paper in papers if paper[0].startswith(kind))
    found = []
    for _, pages, pdf in chosen:
        own = list(sheets(pdf))
        assert len(own) == pages == CHUNK
        found += own
    return found


def squeezed(words: str) -> str:
    return "".join(words.split())


def check_slip(sheet: Sheet, *, address: str) -> None:
    """Whole, within the margins, the recipient in the left column and nothing of it in the right one."""
    assert sheet.codes == 2, "bars and a square"
    width, height = sheet.size_mm
    for words, left, top, right, bottom in sheet.type:
        assert 18 - SLACK <= left <= right <= width - 18 + SLACK, words
        assert 0 < top < bottom <= height - 8, words
        assert right <= 18 + 92 + SLACK or left >= 18 + 100 - SLACK or not 55 < top < 81, f"{words} is in both columns"
    assert address in squeezed("".join(piece[0] for piece in sheet.type)), address


def check_label(sheet: Sheet, *, address: str, kind: str) -> None:
    """Within the drawing, no type on a hairline, and between the two of the recipient stands the address alone."""
    paper = next(one for one in LABEL_SHEETS if kind.endswith(one.code))
    assert sheet.codes == 1
    assert sheet.size_mm == pytest.approx((paper.width_mm, paper.height_mm), abs=0.2)
    for words, left, top, right, bottom in sheet.type:
        assert paper.left_mm - SLACK <= left <= right <= paper.left_mm + INNER_WIDTH_MM + SLACK, words
        assert paper.top_mm <= top <= bottom <= paper.top_mm + INNER_HEIGHT_MM, words
        assert not any(top < paper.top_mm + rule < bottom for rule in RULES_MM), words
    here = [piece for piece in sheet.type if TO_MM[0] < piece[2] - paper.top_mm and piece[4] - paper.top_mm < TO_MM[1]]
    assert squeezed("".join(piece[0] for piece in here)) == address


def test_papers_of_500_parcels_are_each_made_once_however_often_the_worker_is_killed(tmp_path: Path):
    started = time.monotonic()
    env = laptop(tmp_path)
    run("-m", "tests.faults.many_parcels", str(PARCELS), env=env)
    seeded = time.monotonic()
    with serving(env=env, log=tmp_path / "log") as (_, site):
        moments = kill_in_the_middle(site, env, seed=5)
        wait_until(lambda: state_of_job(env) == "done", what="the job is done", seconds=180)
    made = time.monotonic()
    assert moments[0] < ALL_PAPERS, "the first kill came when all was made"

    rows = ask(env, "SELECT number, code, name, address FROM fulfilment_parcel ORDER BY number")
    papers = papers_of(env, "name, pages, pdf")
    assert [row[0] for row in rows] == list(range(1, PARCELS + 1))
    spans = [f"{first:03}-{first + CHUNK - 1:03}.pdf" for first in range(1, PARCELS, CHUNK)]
    assert sorted(name for name, _, _ in papers) == sorted(f"{kind}-{span}" for kind in KINDS for span in spans)
    countries = check_pages(rows, papers)
    assert "All figures agree" in run("manage.py", "verify", env=env)
    record(
        "papers for many (SQLite)", parcels=PARCELS, countries=countries, kills=KILLS, papers_at_kills=moments,
        papers=len(papers), codes_read_back=(len(KINDS) + 1) * PARCELS, twice_or_lost=0,
        seeding_s=round(seeded - started), making_s=round(made - seeded), seconds=round(time.monotonic() - started),
    )  # fmt: skip


def check_pages(rows: list[tuple[Any, ...]], papers: list[tuple[Any, ...]]) -> int:
    """Every page of every kind, in the order of the parcels. Returns how many countries they go to."""
    addresses = [{**json.loads(address), "name": name} for _, _, name, address in rows]
    printed = [squeezed("".join(format_postal_lines(address, sender_country="DE"))) for address in addresses]
    for kind in KINDS:
        pages = in_order(papers, kind)
        assert [page.code for page in pages] == [code for _, code, _, _ in rows], f"{kind}: the order of the parcels"
        for page, address in zip(pages, printed, strict=True):
            if kind == "packing-slips":
                check_slip(page, address=address)
            else:
                check_label(page, address=address, kind=kind)
    return len({address["country_code"] for address in addresses})

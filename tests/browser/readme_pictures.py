"""
Makes the pictures of the README: `python -m tests.browser.readme_pictures`, some two minutes.

Taken from the site itself, served with the demonstration show; few colours, so that the files stay small.
"""

import io
import tempfile
from collections.abc import Sequence
from pathlib import Path

import pypdfium2
from PIL import Image
from playwright.sync_api import Page, sync_playwright

from tests.browser.chromium import QUIET, chromium_path
from tests.browser.site import prepare, served

PICTURES = Path(__file__).resolve().parents[2] / ".readme"
MOST_BYTES = 400_000
PAPER_DPI, GAP = 72, 24
# Below the show's address, each page a paper of the same scale; and which page of it.
PAPERS = (
    ("send/papers.pdf?which=all&numbers=1&paper=slips", 0),
    ("send/papers.pdf?which=all&numbers=1&paper=labels-4x6", 0),
    ("print/of/low-water/certificates.pdf", 0),
    ("send/papers.pdf?which=all&paper=picking", 0),
)
MORE_PAPERS = (
    ("send/papers.pdf?which=all&paper=customs-cn22", 0),
    ("send/papers.pdf?which=all&paper=sheets&first_place=2", 0),
    ("print/of/low-water/register.pdf", 0),
    ("print/cutting.pdf", 1),
    ("hang/sheet.pdf", 1),
)
LABEL_SHEET = {
    "columns": "2", "rows": "4", "width_tenths": "99.1", "height_tenths": "67.7", "left_tenths": "4.7",
    "top_tenths": "13.1", "gap_x_tenths": "2.5",
}  # fmt: skip


def keep(png: bytes, *, name: str) -> None:
    """Write one picture with 128 colours. Fails if it is too heavy all the same."""
    path = PICTURES / name
    with Image.open(io.BytesIO(png)) as picture:
        picture.convert("RGB").quantize(128, dither=Image.Dither.NONE).save(path, optimize=True)
    size = path.stat().st_size
    assert size < MOST_BYTES, f"{path.name} has {size} bytes"
    print(f"{path.relative_to(PICTURES.parent)}: {size // 1000} kB")


def top_of(page: Page, *, until: str) -> bytes:
    """The page from its upper edge to just below the element `until`."""
    box = page.locator(until).first.bounding_box()
    assert box and page.viewport_size
    width, height = page.viewport_size["width"], box["y"] + box["height"] + 24
    return page.screenshot(full_page=True, caret="initial", clip={"x": 0, "y": 0, "width": width, "height": height})


def say_label_sheet(page: Page) -> None:
    """What labels the studio has."""
    page.goto("/studio/demo/send/papers/sheet/")
    for name, measure in LABEL_SHEET.items():
        page.locator(f"[name={name}]").fill(measure)
    page.get_by_role("button", name="Keep").click()


def papers_of(page: Page, papers: Sequence[tuple[str, int]]) -> bytes:
    """A page of each paper, side by side on grey, to one scale."""
    sheets = []
    for address, number in papers:
        answer = page.request.get(f"/studio/demo/{address}")
        assert answer.headers["content-type"] == "application/pdf", f"{address}: {answer.text()[:300]}"
        sheets.append(pypdfium2.PdfDocument(answer.body())[number].render(scale=PAPER_DPI / 72).to_pil().convert("RGB"))
    width = sum(sheet.width + GAP for sheet in sheets) + GAP
    picture = Image.new("RGB", (width, max(sheet.height for sheet in sheets) + 2 * GAP), "#dcd8ce")
    left = GAP
    for sheet in sheets:
        picture.paste(sheet, (left, GAP))
        left += sheet.width + GAP
    file = io.BytesIO()
    picture.save(file, "PNG")
    return file.getvalue()


def main() -> None:
    """Serve the demonstration show and take all pictures."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        prepared = Path(folder) / "prepared"
        prepare(prepared)
        with served(prepared=prepared, at=Path(folder) / "served") as site, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium_path(), args=QUIET)
            page = browser.new_page(viewport={"width": 1180, "height": 900}, base_url=site.url, locale="en-GB")
            page.goto("/show/demo/")
            page.wait_for_load_state("networkidle")
            keep(top_of(page, until=".key"), name="public-page.png")
            page.goto("/studio/")
            page.locator("[name=username]").fill("ada")
            page.locator("[name=password]").fill("ebb-tide-at-four")
            page.keyboard.press("Enter")
            page.get_by_role("link", name="Hang", exact=True).click()
            page.wait_for_load_state("networkidle")
            keep(top_of(page, until="main section table"), name="walls.png")
            site.run("-m", "tests.browser.scene", "printed")
            keep(papers_of(page, PAPERS), name="papers.png")
            say_label_sheet(page)
            keep(papers_of(page, MORE_PAPERS), name="more-papers.png")
            browser.close()


if __name__ == "__main__":
    main()

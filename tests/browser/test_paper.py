"""The public page on paper."""

import io
from collections.abc import Callable

import pytest
from pypdf import PdfReader

from tests.browser.visitor import DESKTOP, SHOTS, Visitor

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_public_page_prints_as_one_sheet_to_pin_up(visit: Callable[..., Visitor], size: str) -> None:
    visitor = visit(size=DESKTOP, name="paper")
    visitor.open("/show/demo/")
    visitor.page.emulate_media(media="print")
    paper = visitor.page.pdf(format=size, prefer_css_page_size=False)
    SHOTS.mkdir(parents=True, exist_ok=True)
    (SHOTS / f"public-page-{size}.pdf").write_bytes(paper)
    [sheet] = PdfReader(io.BytesIO(paper)).pages
    text = " ".join(sheet.extract_text().split())
    for words in ("Low Water", "works hang", "North wall", "Wall money", "Price", "Order at", "/show/demo/"):
        assert words in text.replace("/ ", "/"), f"“{words}” is not on the sheet"
    assert "Order the print" not in text, "a button is of no use on paper"

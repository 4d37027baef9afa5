"""The public page on paper."""

import io
from collections.abc import Callable

import pytest
from pypdf import PdfReader

from tests.browser.visitor import DESKTOP, SHOTS, Visitor

pytestmark = pytest.mark.browser

MOST_PAGES = 4


def test_the_public_page_prints_whole_and_short(visit: Callable[..., Visitor]) -> None:
    visitor = visit(size=DESKTOP, name="paper")
    visitor.open("/show/demo/")
    visitor.page.emulate_media(media="print")
    paper = visitor.page.pdf(format="A4", print_background=False)
    (SHOTS / "public-page.pdf").write_bytes(paper)
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(paper)).pages]
    assert len(pages) <= MOST_PAGES
    text = " ".join(pages)
    for words in ("Low Water", "works hang", "In plain words"):
        assert words in text
    assert "Order the print" not in text, "a button is of no use on paper"

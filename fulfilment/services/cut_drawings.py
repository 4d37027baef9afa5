"""Cut drawings as a paper for the cutting table: made when they are asked for, kept nowhere; the nest is kept."""

from typing import Any

from campaign.drawing.paper import fitted
from campaign.models import Show
from campaign.pdf import PdfSource, RenderedPdf, render_pdfs
from campaign.queries.paper_size import page_size_of
from fulfilment.models import Nest
from fulfilment.queries.cut_drawings import Booklet, CutDrawing, draw_all

PAPER_WIDTH_MM = {"A4": 182, "letter": 188}  # the page less its margins
MOST_HEIGHT_MM = 140  # leaves room for the table of cuts


def make_cut_drawings(*, show: Show, nest: Nest, booklet: Booklet) -> RenderedPdf:
    """
    Cut drawings of a nest: a first page of what is in this PDF, then each sheet and length of it, those alike once.

    Writes: nothing.
    Raises: TemporaryFailure, permanent where the machine lacks the engine.
    Repeat: the same nest and marks give the same bytes.
    """
    return render_pdfs([drawings_source(show, nest=nest, booklet=booklet)])[0]


def drawings_source(show: Show, *, nest: Nest, booklet: Booklet) -> PdfSource:
    """What the paper is made from."""
    size, unit = page_size_of(show), show.length_unit
    papers = [
        (paper, states, [_leaf(one, size=size) for one in draw_all(nest, paper=paper, states=states, unit=unit)])
        for paper, states in booklet.papers
    ]
    context = {
        "title": f"Cut drawings, {show.title}",
        "show": show,
        "nest": nest,
        "booklet": booklet,
        "papers": papers,
        "page_size": size,
        "page_margin": "13mm 14mm 15mm",
    }
    return PdfSource("pdf/cut_drawings.html", context, f"{show.code}:cut-drawings:{nest.code}:{booklet.number}")


def _leaf(drawing: CutDrawing, *, size: str) -> dict[str, Any]:
    paper = fitted(drawing.drawn.height, width_mm=PAPER_WIDTH_MM[size], most_height_mm=MOST_HEIGHT_MM)
    return {"drawing": drawing, "paper": paper}

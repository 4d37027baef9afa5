"""Cut drawings as a paper for the cutting table: made when they are asked for, kept nowhere; the nest is kept."""

from typing import Any

from campaign.drawing.paper import fitted
from campaign.models import Show
from campaign.pdf import PdfSource, RenderedPdf, render_pdfs
from campaign.queries.paper_size import page_size_of
from fulfilment.models import Nest
from fulfilment.queries.cut_drawings import CutDrawing, draw_all
from fulfilment.queries.nests import read_nest_page
from fulfilment.queries.print_list import read_print_list

PAPER_WIDTH_MM = {"A4": 182, "letter": 188}  # the page less its margins
MOST_HEIGHT_MM = 140  # leaves room for the table of cuts


def make_cut_drawings(*, show: Show, nest: Nest) -> RenderedPdf:
    """
    The cut drawings of a nest: a first page of what there is, then every sheet and length, those alike once.

    Writes: nothing.
    Raises: TemporaryFailure, permanent where the machine lacks the engine.
    Repeat: the same nest and marks give the same bytes.
    """
    return render_pdfs([drawings_source(show, nest=nest)])[0]


def drawings_source(show: Show, *, nest: Nest) -> PdfSource:
    """What the paper is made from."""
    page, size = read_nest_page(nest, listed=read_print_list(show)), page_size_of(show)
    papers = [
        (paper, [_leaf(one, size=size) for one in draw_all(nest, paper=paper, unit=show.length_unit)])
        for paper in page.papers
    ]
    context = {
        "title": f"Cut drawings, {show.title}",
        "show": show,
        "nest": nest,
        "papers": papers,
        "page_size": size,
        "page_margin": "13mm 14mm 15mm",
    }
    return PdfSource("pdf/cut_drawings.html", context, f"{show.code}:cut-drawings:{nest.code}")


def _leaf(drawing: CutDrawing, *, size: str) -> dict[str, Any]:
    paper = fitted(drawing.drawn.height, width_mm=PAPER_WIDTH_MM[size], most_height_mm=MOST_HEIGHT_MM)
    return {"drawing": drawing, "paper": paper}

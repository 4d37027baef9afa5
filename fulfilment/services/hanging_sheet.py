"""The hanging sheet as a paper: made when it is asked for, kept nowhere, because the plan can still change."""

from campaign.drawing.paper import fitted
from campaign.models import Show
from campaign.pdf import PdfSource, RenderedPdf, render_pdfs
from campaign.queries.paper_size import page_size_of
from fulfilment.queries.cautions import DRILLING
from fulfilment.queries.hanging import read_hanging

PAPER_WIDTH_MM = {"A4": 182, "letter": 188}  # the page less its margins
MOST_HEIGHT_MM = 125  # leaves room for a table under the drawing


def make_hanging_sheet(*, show: Show) -> RenderedPdf:
    """
    The hanging sheet of a show, a page or more for every wall on which something hangs.

    Writes: nothing.
    Raises: TemporaryFailure, permanent where the machine lacks the engine.
    Repeat: the same plan gives the same bytes.
    """
    return render_pdfs([sheet_source(show)])[0]


def sheet_source(show: Show) -> PdfSource:
    """What the sheet is made from."""
    sheet, size = read_hanging(show), page_size_of(show)
    walls = [
        {
            "sheet": wall,
            "paper": fitted(wall.drawn.height, width_mm=PAPER_WIDTH_MM[size], most_height_mm=MOST_HEIGHT_MM),
        }
        for wall in sheet.walls
        if wall.works
    ]
    context = {
        "title": f"Hanging sheet, {show.title}",
        "show": show,
        "hanging": sheet,
        "walls": walls,
        "drilling": DRILLING,
        "other_unit": "cm" if show.length_unit == "in" else "in",
        "page_size": size,
        "page_margin": "13mm 14mm 15mm",
    }
    return PdfSource("pdf/hanging_sheet.html", context, f"{show.code}:hanging-sheet")

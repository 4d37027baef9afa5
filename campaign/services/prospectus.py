"""The one-page paper for a sponsor or a grant; made when it is asked for, kept nowhere, because the plan can change."""

from campaign.drawing.paper import fitted
from campaign.models import Funder
from campaign.pdf import PdfSource, RenderedPdf, data_uri, render_pdfs
from campaign.queries.paper_size import page_size_of
from campaign.queries.prospectus import Prospectus, read_prospectus

PAPER_WIDTH_MM, MOST_HEIGHT_MM = 174, 62


def make_prospectus(*, funder: Funder) -> RenderedPdf:
    """
    What this sponsor's money would hang, on one page.

    Writes: nothing.
    Raises: TemporaryFailure, permanent where the machine lacks the engine.
    Repeat: the same plan gives the same bytes.
    """
    return render_pdfs([prospectus_source(read_prospectus(funder))])[0]


def prospectus_source(found: Prospectus) -> PdfSource:
    """What the paper is made from; the longest wall is drawn, because a page holds one well."""
    show = found.show
    longest = max(found.walls, key=lambda wall: len(wall.works), default=None)
    context = {
        "title": f"{show.title}: what your support would hang",
        "show": show,
        "studio": found.studio,
        "found": found,
        "wall": longest,
        "paper": fitted(longest.height, width_mm=PAPER_WIDTH_MM, most_height_mm=MOST_HEIGHT_MM) if longest else None,
        "pictures": [(title, data_uri(webp, media_type="image/webp")) for title, webp in found.pictures],
        "page_size": page_size_of(show),
        "page_margin": "15mm 18mm 16mm",
    }
    return PdfSource("pdf/prospectus.html", context, f"{show.code}:prospectus:{found.funder.code}")

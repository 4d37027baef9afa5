"""The picking list: every copy in the order in which copies lie, and again parcel by parcel; black and white."""

from collections.abc import Sequence
from typing import Any

from campaign.addresses import country_name
from campaign.models import Copy, Edition, Show
from campaign.pdf import PdfSource, data_uri
from campaign.queries.paper_size import page_size_of
from campaign.symbols import CODE128_QUIET_MODULES, code128_png
from fulfilment.models import Parcel
from fulfilment.packing import bar_width_mm, write_numbers

DOTS = 2  # a module; office printers and readers manage 0.25 mm
COLUMNS, MOST_ROWS, ROW_MM = 4, 30, 6  # of copies to tick; a block of so many rows stays on one page


def picking_list_source(parcels: Sequence[Parcel], *, show: Show) -> PdfSource:
    """
    What the list is made from: `parcels` (at least one, numbers rising) with all that `choose_parcels` reads.

    Copies of cancelled orders are on no list.
    """
    held = [(parcel, _kept(parcel)) for parcel in parcels]
    numbers = write_numbers(parcel.number for parcel in parcels)
    mailers = [str(parcel.mailer) for parcel in parcels if parcel.mailer]
    context = {
        "title": f"Picking list, parcels {numbers}"[:150],
        "numbers": numbers,
        "show": show,
        "editions": _by_edition(held),
        "parcels": [_line(parcel, copies=copies, show=show) for parcel, copies in held],
        "prints": sum(len(copies) for _, copies in held),
        "mailers": sorted((name, mailers.count(name)) for name in set(mailers)),
        "key_left": f"{bar_width_mm(CODE128_QUIET_MODULES, dots=DOTS):.2f}mm",  # below the first bar
        "page_size": page_size_of(show),
        "page_margin": "14mm 15mm 15mm",
    }
    return PdfSource("pdf/picking_list.html", context, f"{show.code}:picking-list:{numbers}")


def _kept(parcel: Parcel) -> list[Copy]:
    copies = [row.copy for row in parcel.parcel_copies.all()]
    return [copy for copy in copies if copy.state == Copy.State.SPOKEN_FOR]


def _by_edition(held: Sequence[tuple[Parcel, list[Copy]]]) -> list[dict[str, Any]]:
    """Each edition in the order of the page of prints, its copies by number, each with the number of its parcel."""
    editions: dict[int, tuple[Edition, list[tuple[int, int]]]] = {}
    for parcel, copies in held:
        for copy in copies:
            editions.setdefault(copy.edition_id, (copy.edition, []))[1].append((copy.number, parcel.number))
    ordered = sorted(editions.values(), key=lambda one: (one[0].position, one[0].pk))
    return [
        {
            "edition": edition,
            "count": len(found),
            "first": min(found)[0],
            "last": max(found)[0],
            "blocks": _blocks([f"{number}/{edition.size}\tparcel {parcel}" for number, parcel in sorted(found)]),
        }
        for edition, found in ordered
    ]


def _blocks(lines: Sequence[str]) -> list[dict[str, Any]]:
    """The lines down four columns, and on in a further block where those are as high as a page allows."""
    blocks = []
    for start in range(0, len(lines), COLUMNS * MOST_ROWS):
        some = lines[start : start + COLUMNS * MOST_ROWS]
        rows = -(-len(some) // COLUMNS)
        columns = ["\n".join(some[at : at + rows]) for at in range(0, len(some), rows)]
        blocks.append({"height_mm": rows * ROW_MM, "columns": columns})
    return blocks


def _line(parcel: Parcel, *, copies: Sequence[Copy], show: Show) -> dict[str, Any]:
    symbol = code128_png(parcel.code)
    code = parcel.address.get("country_code", "")
    return {
        "parcel": parcel,
        "copies": copies,
        "where": country_name(code) if code and code != show.country else parcel.address.get("city", ""),
        "code_src": data_uri(symbol.png, media_type="image/png"),
        "code_width_mm": f"{bar_width_mm(symbol.width_modules, dots=DOTS):.3f}",
    }

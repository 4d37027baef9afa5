"""What the papers of parcels say: packing slips and address labels, as sources for the PDF door."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from campaign.addresses import FIELDS, AddressError, country_name, format_postal_lines
from campaign.models import Copy, Show, Studio
from campaign.pdf import PdfSource, data_uri
from campaign.queries.paper_size import page_size_of
from campaign.symbols import code128_png, qr_png
from fulfilment.customs_paper import customs_names, customs_papers
from fulfilment.models import Parcel
from fulfilment.packing import LABEL_SHEETS, bar_width_mm, choose_type_size, cut_short
from fulfilment.packing.label import INNER_HEIGHT_MM, INNER_WIDTH_MM
from fulfilment.packing.type_size import SIZES_PT
from fulfilment.queries.slip_line import read_slip_line

ADDRESS_WIDTH_MM, ADDRESS_HEIGHT_MM = 89.0, 62.0
SLIP_WIDTH_MM, SLIP_HEIGHT_MM = 84.0, 40.0
SLIP_SIZES_PT = (11, 10, 9, 8)
SENDER_WIDTH_MM, SENDER_HEIGHT_MM = 54.0, 21.0
SENDER_SIZES_PT = (9, 8, 7, 6)
QR_MODULE_MM = 0.5
SLIP_FACT_MM, SLIP_FACT_PT = 48.0, 9.5
SLIP_ORDERS = 3  # written out
SLIP_ROWS, SLIP_ROW_LETTERS = 9, 50  # what the smaller sheet has place for, and the widest letters of a row


@dataclass(frozen=True, slots=True)
class PaperSource:
    """A paper to make: file name and title as the artist sees them, and its source."""

    name: str
    title: str
    pdf: PdfSource


def paper_names(parcels: Sequence[Parcel], *, with_needless: bool = False) -> tuple[str, ...]:
    """File names of the papers of `parcels`, in the order of `paper_sources`; or of all there could ever have been."""
    numbers = f"{parcels[0].number:03}-{parcels[-1].number:03}.pdf"
    labels = (f"labels-{sheet.code}-{numbers}" for sheet in LABEL_SHEETS)
    return (f"packing-slips-{numbers}", *labels, *customs_names(parcels, with_needless=with_needless))


def paper_sources(parcels: Sequence[Parcel], *, show: Show) -> tuple[PaperSource, ...]:
    """
    The packing slips of `parcels` (numbers rising, at least one) as one document, labels in each size, customs notes.

    Wants parcel_copies with copy, edition and pledge prefetched; two queries besides.
    """
    studio = Studio.objects.get(pk=1)
    first, last = parcels[0].number, parcels[-1].number
    which = f"parcel {first}" if first == last else f"parcels {first} to {last}"
    items = [_parcel_context(parcel, show=show) for parcel in parcels]
    sender = [line.strip() for line in studio.address.splitlines() if line.strip()] or [studio.artist_name]
    shared = {
        "show": show, "studio": studio, "parcels": items, "sender": "\n".join(sender),
        "sender_line": ", ".join(line for line in sender if line != studio.artist_name),
        "own_line": read_slip_line(show),
        "sizes_pt": sorted({*SENDER_SIZES_PT, *SIZES_PT}),
    }  # fmt: skip
    slips, *others = paper_names(parcels)
    sources = [_source(slips, f"Packing slips, {which}", "pdf/packing_slips.html", shared | _slip_page(shared))]
    sender_pt = choose_type_size(sender, width_mm=SENDER_WIDTH_MM, height_mm=SENDER_HEIGHT_MM, sizes_pt=SENDER_SIZES_PT)
    for name, sheet in zip(others, LABEL_SHEETS, strict=False):  # customs notes have names of their own
        page = {
            "sender_pt": sender_pt, "page_size": sheet.page_size,
            "page_margin": f"{sheet.top_mm}mm 0 0 {sheet.left_mm}mm",
            "inner_width_mm": INNER_WIDTH_MM, "inner_height_mm": INNER_HEIGHT_MM,
        }  # fmt: skip
        title = f"Address labels {sheet.name}, {which}"
        sources.append(_source(name, title, "pdf/address_labels.html", shared | page))
    for note in customs_papers(items, show=show, sender=sender, which=which):
        sources.append(_source(note.name, note.title, "pdf/customs_notes.html", {"show": show, **note.context}))
    return tuple(sources)


def _source(name: str, title: str, template: str, context: Mapping[str, Any]) -> PaperSource:
    identifier = f"{context['show'].code}:{name}"
    return PaperSource(name, title, PdfSource(template, {**context, "title": title}, identifier))


def _slip_page(shared: Mapping[str, Any]) -> dict[str, Any]:
    words = len(shared["show"].title) + len(shared["show"].venue_name) + len(shared["own_line"])
    may_run_on = any(_may_run_on(item, words=words) for item in shared["parcels"])
    return {"page_size": page_size_of(shared["show"]), "page_margin": "16mm 18mm 18mm", "may_run_on": may_run_on}


def _may_run_on(item: Mapping[str, Any], *, words: int) -> bool:
    """Whether a slip could need a second sheet; the foot that says what it belongs to is a fifteenth of all work."""
    editions = [copy.edition for copy in item["copies"]]
    letters = words + len(item["giver"])
    letters += sum(len(edition.title) + len(edition.paper) + len("200/200, 120 × 160.5 cm") for edition in editions)
    return len(editions) + letters / SLIP_ROW_LETTERS > SLIP_ROWS


def _parcel_context(parcel: Parcel, *, show: Show) -> dict[str, Any]:
    copies = [row.copy for row in parcel.parcel_copies.all()]
    lines = postal_lines(parcel, sender_country=show.country)
    symbol, square = code128_png(parcel.code), qr_png(parcel.code)
    # Of a person who was removed no line is left.
    is_abroad = bool(lines) and parcel.address.get("country_code", "") != show.country
    return {
        "parcel": parcel,
        "copies": copies,
        "prints": len(copies),
        "order_lines": _order_lines(copies),
        "show_line": _slip_fact(show.title),
        "mailer_line": _slip_fact(parcel.mailer.name) if parcel.mailer else "",
        "giver": next((copy.pledge.name for copy in copies if copy.pledge and _is_for_friend(copy)), ""),
        "to": "\n".join(lines[:-1] if is_abroad else lines),
        "country_line": lines[-1] if is_abroad else "",
        "address_pt": choose_type_size(lines, width_mm=ADDRESS_WIDTH_MM, height_mm=ADDRESS_HEIGHT_MM),
        "slip_pt": _slip_size(lines),
        "code_src": data_uri(symbol.png, media_type="image/png"),
        "code_width_mm": f"{bar_width_mm(symbol.width_modules):.3f}",
        # The same once more for a telephone, on the slip.
        "qr_src": data_uri(square.png, media_type="image/png"),
        "qr_mm": f"{square.width_modules * QR_MODULE_MM:.2f}",
    }


def _order_lines(copies: Sequence[Copy]) -> list[str]:
    orders = sorted({copy.pledge.code for copy in copies if copy.pledge})
    return [*orders[:SLIP_ORDERS], *([f"and {len(orders) - SLIP_ORDERS} more"] if orders[SLIP_ORDERS:] else [])]


def _slip_fact(text: str) -> str:
    return cut_short(text, width_mm=SLIP_FACT_MM, size_pt=SLIP_FACT_PT)


def _is_for_friend(copy: Copy) -> bool:
    return bool(copy.line and copy.line.recipient_name)


def _slip_size(lines: Sequence[str]) -> int:
    return choose_type_size(lines, width_mm=SLIP_WIDTH_MM, height_mm=SLIP_HEIGHT_MM, sizes_pt=SLIP_SIZES_PT)


def postal_lines(parcel: Parcel, *, sender_country: str) -> tuple[str, ...]:
    """
    The label's lines in the layout of the country it goes to, abroad with the country last.

    Ending printing refuses addresses that cannot be laid out; should one get here all the same, what there is of it
    is printed line by line, because a parcel that is packed must be named.
    """
    address = {**parcel.address, "name": parcel.name}
    try:
        return format_postal_lines(address, sender_country=sender_country)
    except AddressError:
        code = address.get("country_code", "")
        written = [line.strip() for field in FIELDS[:-1] for line in address.get(field, "").splitlines()]
        abroad = [country_name(code).upper()] if code != sender_country else []
        return tuple(line for line in (*written, *abroad) if line)

"""Address labels on whole sheets of labels: the studio's sheet is said once, the papers are made when asked for."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction

from campaign.models import Show, Studio
from campaign.pdf import PdfSource, RenderedPdf, data_uri, render_pdfs
from campaign.symbols import CODE128_QUIET_MODULES, code128_png
from fulfilment.errors import LabelsDoNotFit
from fulfilment.models import LabelStock, Parcel
from fulfilment.packing import LabelGrid, bar_width_mm, write_numbers
from fulfilment.packing.label_grid import (
    ADDRESS_SIZES_PT,
    GAP_MM,
    KEY_MM,
    NUMBER_MM,
    SENDER_SIZES_PT,
    LabelFace,
    face_of,
)
from fulfilment.pdf import postal_lines


@transaction.atomic(durable=True)
def save_label_sheet(*, grid: LabelGrid) -> LabelStock:
    """
    Keep what sheets of labels the studio has; one kind at a time.

    Writes: LabelStock.
    Raises: LabelsDoNotFit where no page can be like this.
    Repeat: the same again changes nothing.
    """
    fault = grid.fault()
    if fault:
        raise LabelsDoNotFit(fault)
    measures = {name: getattr(grid, name) for name in LabelGrid.__dataclass_fields__}
    stock, _ = LabelStock.objects.update_or_create(studio=Studio.objects.get(pk=1), defaults=measures)
    return stock


def make_label_sheets(parcels: Sequence[Parcel], *, show: Show, grid: LabelGrid, first_place: int) -> RenderedPdf:
    """
    The labels of `parcels` in their order, the first in `first_place` of the first sheet.

    Writes: nothing.
    Raises: LabelsDoNotFit, naming the parcels whose address is more than a label holds; TemporaryFailure.
    Repeat: the same rows give the same bytes.
    """
    return render_pdfs([label_sheets_source(parcels, show=show, grid=grid, first_place=first_place)])[0]


def label_sheets_source(parcels: Sequence[Parcel], *, show: Show, grid: LabelGrid, first_place: int) -> PdfSource:
    """What the sheets are made from. Raises: LabelsDoNotFit."""
    studio, face = Studio.objects.get(pk=1), face_of(grid)
    sender = [line.strip() for line in studio.address.splitlines() if line.strip()] or [studio.artist_name]
    sender_line = ", ".join(sender)
    sheets: list[list[dict[str, Any]]] = [[] for _ in range(grid.sheets_for(len(parcels), first_place=first_place))]
    too_long = []
    for at, parcel in enumerate(parcels, start=first_place - 1):
        lines = postal_lines(parcel, sender_country=show.country)
        sender_pt, address_pt = face.sizes_pt(sender=[sender_line], address=lines)
        if sender_pt is None:
            raise LabelsDoNotFit(
                f"Your own address is more than a label of {grid.label_words} holds as its sender: "
                f"“{sender_line[:80]}”. Shorten it in the studio’s details, or use larger labels."
            )
        if address_pt is None:
            too_long.append(parcel.number)
            continue
        left, top = grid.place_mm(1 + at % grid.places)
        is_abroad = bool(lines) and parcel.address.get("country_code", "") != show.country
        sheets[at // grid.places].append(
            {
                "left": _mm(left), "top": _mm(top), "parcel": parcel,
                "to": "\n".join(lines[:-1] if is_abroad else lines), "country_line": lines[-1] if is_abroad else "",
                "address_pt": address_pt, "sender_pt": sender_pt, "prints": len(parcel.parcel_copies.all()),
                **_code(parcel, face=face),
            }
        )  # fmt: skip
    if too_long:
        raise LabelsDoNotFit(_too_long_words(too_long, grid=grid))
    numbers = write_numbers(parcel.number for parcel in parcels)
    context = {
        "title": f"Address labels of {grid.label_words}, parcels {numbers}"[:150], "show": show, "sheets": sheets,
        "face": face, "sender_line": sender_line, "page_size": grid.page, "page_margin": "0", **_measures(grid),
        "sizes_pt": sorted({*SENDER_SIZES_PT, *ADDRESS_SIZES_PT}),
    }  # fmt: skip
    return PdfSource("pdf/label_sheets.html", context, f"{show.code}:label-sheets:{grid}:{first_place}:{numbers}")


def _code(parcel: Parcel, *, face: LabelFace) -> dict[str, str]:
    symbol = code128_png(parcel.code)
    dots = face.dots_a_module(symbol.width_modules)
    return {
        "code_src": data_uri(symbol.png, media_type="image/png"),
        "code_width_mm": f"{bar_width_mm(symbol.width_modules, dots=dots):.3f}",
        "key_left": _mm(face.pad_mm + bar_width_mm(CODE128_QUIET_MODULES, dots=dots)),
    }


def _measures(grid: LabelGrid) -> dict[str, str]:
    """The boxes of a label's parts, from its left and top."""
    face = face_of(grid)
    right = face.pad_mm + face.inner_mm
    return {
        "width": _mm(grid.width_tenths / 10), "height": _mm(grid.height_tenths / 10), "pad": _mm(face.pad_mm),
        "inner": _mm(face.inner_mm), "sender_width": _mm(face.sender_width_mm), "sender_height": _mm(face.sender_mm),
        "number_left": _mm(right - NUMBER_MM), "number_width": _mm(NUMBER_MM),
        "rule_top": _mm(face.pad_mm + face.sender_mm + GAP_MM / 2),
        "address_top": _mm(face.address_top_mm), "address_height": _mm(face.address_height_mm),
        "bars_top": _mm(face.bars_top_mm), "bars": _mm(face.bars_mm), "key_top": _mm(face.bars_top_mm + face.bars_mm),
        "key": _mm(KEY_MM),
    }  # fmt: skip


def _mm(value: float) -> str:
    return f"{value:.2f}mm"


def _too_long_words(numbers: Sequence[int], *, grid: LabelGrid) -> str:
    is_one = len(numbers) == 1
    return (
        f"The address{'' if is_one else 'es'} of parcel{'' if is_one else 's'} {write_numbers(numbers)} "
        f"{'is' if is_one else 'are'} more than a label of {grid.label_words} holds, even in "
        f"{ADDRESS_SIZES_PT[-1]} point type; nothing was cut or printed. Choose the others by their numbers, and print "
        f"{'this one' if is_one else 'these'} on labels of 4 × 6 in or A6."
    )

"""Papers of some parcels, made when they are asked for and kept nowhere: a slip that was spoiled, labels, lists."""

from collections.abc import Sequence
from dataclasses import replace

from campaign.errors import NotReady
from campaign.models import Show
from campaign.pdf import PdfSource, RenderedPdf, render_pdfs
from fulfilment.models import Parcel
from fulfilment.packing import LABEL_SHEETS, LabelGrid, write_numbers
from fulfilment.pdf import PaperSource, paper_sources
from fulfilment.services.label_sheets import label_sheets_source
from fulfilment.services.picking_list import picking_list_source

SLIPS, SHEETS, PICKING = "slips", "sheets", "picking"
LABELS = {f"labels-{sheet.code}": sheet for sheet in LABEL_SHEETS}
NOTES = {"customs-cn22": Parcel.CustomsNote.CN22, "customs-cn23": Parcel.CustomsNote.CN23}
# Parcels at once: some seconds of a web process, which is why there are jobs for all of a show.
MOST = {SLIPS: 150, SHEETS: 600, PICKING: 600, **dict.fromkeys(LABELS, 300), **dict.fromkeys(NOTES, 150)}


def make_chosen(
    kind: str, parcels: Sequence[Parcel], *, show: Show, grid: LabelGrid | None = None, first_place: int = 1
) -> RenderedPdf:
    """
    One paper of `kind` for `parcels` (one at least, in the order of their numbers): the same pages as the job makes.

    Writes: nothing.
    Raises: LabelsDoNotFit; NotReady where none of them needs such a customs note; TemporaryFailure, permanent where
        the machine lacks the engine.
    Repeat: the same rows give the same bytes.
    """
    return render_pdfs([chosen_source(kind, parcels, show=show, grid=grid, first_place=first_place)])[0]


def chosen_source(
    kind: str, parcels: Sequence[Parcel], *, show: Show, grid: LabelGrid | None = None, first_place: int = 1
) -> PdfSource:
    """What the paper is made from."""
    if kind == SHEETS:
        assert grid, "a sheet that was said"
        return label_sheets_source(parcels, show=show, grid=grid, first_place=first_place)
    if kind == PICKING:
        return picking_list_source(parcels, show=show)
    if kind in NOTES:
        parcels = [parcel for parcel in parcels if parcel.customs_note == NOTES[kind]]
        if not parcels:
            raise NotReady(f"None of these parcels needs a customs note {NOTES[kind]}.")
    sources = paper_sources(parcels, show=show)
    if kind in NOTES:  # the only ones after the labels
        source, what = sources[-1].pdf, f"Customs notes {NOTES[kind]}"
    else:
        source, what = _slips_or_labels(kind, sources)
    numbers = write_numbers(parcel.number for parcel in parcels)
    title = f"{what}, parcel{'' if len(parcels) == 1 else 's'} {numbers}"[:150]
    return replace(source, context={**source.context, "title": title}, identifier=f"{show.code}:{kind}:{numbers}")


def _slips_or_labels(kind: str, sources: Sequence[PaperSource]) -> tuple[PdfSource, str]:
    source = sources[1 + list(LABELS).index(kind)].pdf if kind in LABELS else sources[0].pdf
    what = f"Address labels {LABELS[kind].name}" if kind in LABELS else "Packing slips"
    return source, what

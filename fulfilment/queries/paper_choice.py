"""Which parcels papers are printed for once more: all of them, or some, always in the order of their numbers."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import OuterRef, Q, QuerySet, Subquery

from campaign.models import Copy, Show
from fulfilment.models import LabelStock, Parcel, ParcelEvent
from fulfilment.packing import LabelGrid
from fulfilment.queries.outcomes import BACK, OUTCOMES

ALL, TO_POST, BACK_AGAIN = "all", "to_post", "back"
COPIES = ("parcel_copies__copy__edition", "parcel_copies__copy__pledge", "parcel_copies__copy__line")


@dataclass(frozen=True, slots=True)
class PaperChoices:
    """How many parcels each choice means, the highest number, the sheet of labels, whether any has a customs note."""

    counts: dict[str, int]
    highest: int
    grid: LabelGrid | None
    has_notes: bool


def read_choices(show: Show) -> PaperChoices:
    """What the page of papers offers; six queries."""
    counts = {which: _parcels(show, which=which).count() for which in (ALL, TO_POST, BACK_AGAIN)}
    highest = Parcel.objects.filter(show=show).order_by("-number").values_list("number", flat=True).first()
    has_notes = Parcel.objects.filter(show=show).exclude(customs_note="").exists()
    return PaperChoices(counts=counts, highest=highest or 0, grid=find_grid(), has_notes=has_notes)


def choose_parcels(show: Show, *, which: str, numbers: Collection[int] = ()) -> tuple[Parcel, ...]:
    """
    The parcels that are meant, by number, with all that their papers say; with `numbers` these of them only.

    Parcels in which nothing is left, because every order was cancelled, and those of people who were removed have none.
    """
    chosen = _parcels(show, which=which).exclude(email="")
    if numbers:
        chosen = chosen.filter(number__in=numbers)
    return tuple(chosen.select_related("mailer").prefetch_related(*COPIES).order_by("number"))


def find_grid() -> LabelGrid | None:
    """The studio's sheet of labels, None before it is said."""
    stock = LabelStock.objects.first()
    if stock is None:
        return None
    return LabelGrid(
        page=stock.page,
        columns=stock.columns,
        rows=stock.rows,
        width_tenths=stock.width_tenths,
        height_tenths=stock.height_tenths,
        left_tenths=stock.left_tenths,
        top_tenths=stock.top_tenths,
        gap_x_tenths=stock.gap_x_tenths,
        gap_y_tenths=stock.gap_y_tenths,
    )


def _parcels(show: Show, *, which: str) -> QuerySet[Parcel]:
    kept = Q(parcel_copies__copy__state=Copy.State.SPOKEN_FOR) | Q(state=Parcel.State.POSTED)
    parcels = Parcel.objects.filter(kept, show=show).distinct()
    if which == TO_POST:
        return parcels.exclude(state=Parcel.State.POSTED)
    if which == BACK_AGAIN:
        told = ParcelEvent.objects.filter(parcel=OuterRef("pk"), posting=OuterRef("posting"), kind__in=OUTCOMES)
        newest = Subquery(told.order_by("-pk").values("kind")[:1])
        again = Q(posting__gt=1) & ~Q(state=Parcel.State.POSTED)
        return parcels.annotate(outcome=newest).filter(Q(outcome__in=BACK) | again)
    return parcels

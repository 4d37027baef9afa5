"""The paper there is to print on, and which prints go on it. Not the price book: prices there are the plan's."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime

from django.db import transaction

from campaign.errors import NotReady
from campaign.models import Edition, Show
from campaign.services.inputs import free_code
from fulfilment.models import PaperChoice, PaperStock


@dataclass(frozen=True, slots=True)
class PaperWish:
    """A paper as typed; what only a roll or only sheets have is 0 for the other kind."""

    name: str
    kind: str
    width_mm: int
    height_mm: int = 0
    margin_mm: int = 0
    lead_mm: int = 0
    tail_mm: int = 0
    gap_mm: int = 0
    there_mm: int = 0
    there_sheets: int = 0
    pack_mm: int = 0
    pack_sheets: int = 0
    price_minor: int = 0
    can_turn: bool = True
    spoil_bp: int = 0
    spare_prints: int = 0
    drying_hours: int | None = None
    item_code: str = ""


@dataclass(frozen=True, slots=True)
class ChoiceWish:
    """Which paper the prints of a finish, or an edition, go on; `paper_code` "": as proposed."""

    finish_code: str = ""
    edition_code: str = ""
    paper_code: str = ""
    border_mm: int = 0


@transaction.atomic(durable=True)
def save_paper(*, show: Show, stock: PaperStock | None, wish: PaperWish, now: datetime) -> PaperStock:
    """
    Set a paper up, or change one; what is there counts as counted now.

    Writes: PaperStock.
    Raises: NotReady for a name that another one has.
    Repeat: the same words again change nothing but the moment of counting; a new one with the name of another is
        refused.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    alike = PaperStock.objects.filter(show=current, name__iexact=wish.name)
    other = (alike.exclude(pk=stock.pk) if stock else alike).first()
    if other:
        raise NotReady(f"There is a paper called “{other}” already; give this one another name.")
    if stock is None:
        taken = set(PaperStock.objects.filter(show=current).values_list("code", flat=True))
        stock = PaperStock(show=current, code=free_code(wish.name, taken=taken, otherwise="paper"))
    for field, value in asdict(wish).items():
        setattr(stock, field, value)
    stock.counted_at = now
    stock.full_clean()
    stock.save()
    return stock


@transaction.atomic(durable=True)
def remove_paper(*, show: Show, stock: PaperStock) -> None:
    """
    Take a paper away; what was chosen for it goes by the proposal again, nests that are made stay.

    Writes: PaperStock, PaperChoice.
    Repeat: a paper that is gone stays gone.
    """
    PaperStock.objects.filter(show=show, pk=stock.pk).delete()


@transaction.atomic(durable=True)
def choose_papers(*, show: Show, wishes: Sequence[ChoiceWish]) -> None:
    """
    Say which prints go on which paper, and how wide the white border of an edition is.

    Writes: PaperChoice.
    Repeat: the same choices again change nothing.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    stocks = {stock.code: stock for stock in PaperStock.objects.filter(show=current)}
    editions = {edition.code: edition for edition in Edition.objects.filter(show=current)}
    for wish in wishes:
        edition = editions.get(wish.edition_code)
        if edition is None and not wish.finish_code:
            continue
        chosen = PaperChoice.objects.filter(show=current, finish_code=wish.finish_code, edition=edition)
        stock = stocks.get(wish.paper_code)
        if stock is None and not wish.border_mm:
            chosen.delete()
        elif not chosen.update(stock=stock, border_mm=wish.border_mm):
            PaperChoice.objects.create(
                show=current, finish_code=wish.finish_code, edition=edition, stock=stock, border_mm=wish.border_mm
            )

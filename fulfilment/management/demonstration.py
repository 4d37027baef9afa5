"""What the demonstration show has after the campaign: the paper that its prints go on. All of it is invented."""

import uuid
from datetime import datetime

from campaign.management.demonstration import KEYS
from campaign.models import Show
from fulfilment.models import PaperStock
from fulfilment.services.nests import lay_out
from fulfilment.services.paper_stock import ChoiceWish, PaperWish, choose_papers, save_paper

# What lies on the shelf by the price book, 0.9 m² of a roll of 61 cm.
ROLL = PaperWish(
    name="Cotton paper 310 g, roll of 61 cm", kind="roll", width_mm=610, margin_mm=5, lead_mm=20, tail_mm=20, gap_mm=4,
    there_mm=1_475, pack_mm=10_000, price_minor=11_800, spoil_bp=500, item_code="paper",
)  # fmt: skip
SHEETS = PaperWish(
    name="Cotton paper 310 g, A3+", kind="sheets", width_mm=329, height_mm=483, margin_mm=5, gap_mm=4, there_sheets=6,
    pack_sheets=25, price_minor=4_900, spoil_bp=500, drying_hours=48,
)  # fmt: skip


def add_paper(*, show: Show, now: datetime) -> bool:
    """Set the paper up and lay the prints out on it. False if there is paper already; it then stays as it is."""
    if PaperStock.objects.filter(show=show).exists():
        return False
    roll, sheets = (save_paper(show=show, stock=None, wish=wish, now=now) for wish in (ROLL, SHEETS))
    choose_papers(
        show=show,
        wishes=[
            ChoiceWish(edition_code="low-water", paper_code=roll.code, border_mm=15),
            ChoiceWish(edition_code="pocket-tide", paper_code=sheets.code, border_mm=10),
        ],
    )
    lay_out(show=show, there={}, request_key=uuid.uuid5(KEYS, "nest"), now=now)
    return True

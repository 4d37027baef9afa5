"""What the demonstration show has after the campaign: paper for its prints, and what they travel in. All invented."""

import uuid
from datetime import datetime
from typing import Any

from campaign.management.demonstration import KEYS
from campaign.models import Show
from fulfilment.models import Mailer, PaperStock
from fulfilment.services.nests import lay_out
from fulfilment.services.packing_material import (
    CustomsWish,
    MailerWish,
    ServiceWish,
    TravelWish,
    save_customs,
    save_mailer,
    save_travel,
    set_services,
)
from fulfilment.services.paper_stock import ChoiceWish, PaperWish, choose_papers, save_paper
from fulfilment.services.slip_line import save_slip_line

# What lies on the shelf by the price book, 0.9 m² of a roll of 61 cm.
ROLL = PaperWish(
    name="Cotton paper 310 g, roll of 61 cm", kind="roll", width_mm=610, margin_mm=5, lead_mm=20, tail_mm=20, gap_mm=4,
    there_mm=1_475, pack_mm=10_000, price_minor=11_800, spoil_bp=500, item_code="paper",
)  # fmt: skip
SLIP_LINE = "Hang it where the evening light comes in, and come and see the others while they are up."
SHEETS = PaperWish(
    name="Cotton paper 310 g, A3+", kind="sheets", width_mm=329, height_mm=483, margin_mm=5, gap_mm=4, there_sheets=6,
    pack_sheets=25, price_minor=4_900, spoil_bp=500, drying_hours=48,
)  # fmt: skip

MAILERS = (
    MailerWish(
        name="Board mailer 34 × 24 cm", is_tube=False, inner_length_mm=340, inner_width_mm=240, inner_depth_mm=10,
        outer_length_mm=353, outer_width_mm=250, outer_depth_mm=14, edge_mm=8, mass_g=128, price_minor=96, count=40,
    ),
    MailerWish(
        name="Board mailer 24 × 17 cm", is_tube=False, inner_length_mm=238, inner_width_mm=170, inner_depth_mm=8,
        outer_length_mm=248, outer_width_mm=178, outer_depth_mm=12, edge_mm=8, mass_g=62, price_minor=54, count=10,
    ),
    MailerWish(
        name="Tube 43 cm", is_tube=True, inner_length_mm=430, inner_width_mm=80, inner_depth_mm=80, outer_length_mm=442,
        outer_width_mm=85, outer_depth_mm=85, mass_g=165, price_minor=148, count=4,
    ),
)  # fmt: skip
LETTER: dict[str, Any] = {
    "is_letter_post": True, "mass_g": 2_000, "longest_mm": 600, "sum_mm": 900, "tube_longest_mm": 900,
    "tube_sum_mm": 1_040, "least_long_mm": 140, "least_short_mm": 90,
}  # fmt: skip
SERVICES = (
    ServiceWish(zone="Germany", name="Parcel, insured", mass_g=5_000, longest_mm=1_200, insured_up_to_minor=50_000),
    ServiceWish(zone="European Union", name="Small packet, tracked", insured_up_to_minor=5_000, **LETTER),
    ServiceWish(zone="Everywhere else", name="Small packet, tracked", insured_up_to_minor=5_000, **LETTER),
)
TRAVEL = {
    "low-water": TravelWish(
        thickness_um=520, mass_g=34, commodity_code="4911.91", origin_country="DE",
        content_words="Limited edition pigment print on paper",
    ),
    "pocket-tide": TravelWish(
        thickness_um=480, mass_g=12, commodity_code="4911.91", origin_country="DE",
        content_words="Limited edition pigment print on paper",
    ),
}  # fmt: skip
SDR_MILLI = 118_000  # invented, as a round figure shows: 1.18 for one


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


def add_packing(*, show: Show, now: datetime) -> bool:
    """Set the packing material up. False if there is a mailer already; all of it then stays as it is."""
    if Mailer.objects.filter(show=show).exists():
        return False
    for wish in MAILERS:
        save_mailer(show=show, mailer=None, wish=wish, now=now)
    set_services(show=show, services=SERVICES, now=now)
    for edition in show.editions.filter(code__in=TRAVEL):
        save_travel(edition=edition, wish=TRAVEL[edition.code], now=now)
    read_on = now.astimezone(show.zone).date()
    save_customs(show=show, wish=CustomsWish(sdr_milli=SDR_MILLI, sdr_read_on=read_on), now=now)
    save_slip_line(show=show, words=SLIP_LINE)
    return True

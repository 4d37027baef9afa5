"""Mailers, services and travel facts for tests: what an artist would set up for the small show of `builders`."""

from campaign.models import Show
from fulfilment.models import CustomsFacts, Mailer, PostService, TravelFacts
from tests.builders import NOW

FLAT = {
    "name": "Board mailer A4", "is_tube": False, "inner_length_mm": 330, "inner_width_mm": 240, "inner_depth_mm": 8,
    "outer_length_mm": 345, "outer_width_mm": 255, "outer_depth_mm": 12, "edge_mm": 5, "mass_g": 120,
    "price_minor": 95, "count": 30,
}  # fmt: skip
TUBE = {
    "name": "Tube 64 cm", "is_tube": True, "inner_length_mm": 640, "inner_width_mm": 100, "inner_depth_mm": 100,
    "outer_length_mm": 660, "outer_width_mm": 106, "outer_depth_mm": 106, "edge_mm": 0, "mass_g": 320,
    "price_minor": 260, "count": 5,
}  # fmt: skip


def set_up_packing(show: Show, *, mailers=(FLAT,), thickness_um=400, mass_g=40, least_tube_mm=0, **changes):
    """Mailers, and how every print of the show travels; `changes` are fields of its travel facts."""
    Mailer.objects.bulk_create(Mailer(show=show, **fields) for fields in mailers)
    fields = {
        "thickness_um": thickness_um, "mass_g": mass_g, "least_tube_mm": least_tube_mm, "commodity_code": "4911.91",
        "origin_country": "DE", "content_words": "Limited edition print on paper",
    } | changes  # fmt: skip
    TravelFacts.objects.bulk_create(TravelFacts(edition=edition, **fields) for edition in show.editions.all())


def set_up_service(show: Show, *, zone="Germany", **changes):
    """What the post takes to one zone: letter post, insured up to 100."""
    fields = {
        "name": f"Letter to {zone}", "is_letter_post": True, "mass_g": 2_000, "longest_mm": 600, "sum_mm": 900,
        "tube_longest_mm": 900, "tube_sum_mm": 1_040, "least_long_mm": 140, "least_short_mm": 90,
        "insured_up_to_minor": 10_000,
    } | changes  # fmt: skip
    return PostService.objects.create(show=show, zone=zone, **fields)


def set_up_customs(show: Show, **changes):
    """One SDR at 1.2435 of the currency."""
    fields = {"sdr_milli": 124_350, "sdr_read_on": NOW.date()} | changes
    return CustomsFacts.objects.create(show=show, **fields)

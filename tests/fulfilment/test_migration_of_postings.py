"""Postings from before they knew what they left in are told what their parcel says: a real upgrade."""

from tests.upgrades import rows_after_upgrade

ROWS = """
show = new_show("one")
size = dict(outer_length_mm=345, outer_width_mm=255, outer_depth_mm=12)
inner = dict(inner_length_mm=330, inner_width_mm=240, inner_depth_mm=8)
mailer = create(
    "fulfilment.Mailer", show=show, name="Board mailer A4", mass_g=120, price_minor=95, count=30, **inner, **size
)
for number, inside in enumerate([dict(mailer=mailer, **size), {}], start=1):
    parcel = create(
        "fulfilment.Parcel", show=show, code=f"parcel{number}", number=number, name="N", email="n@example.org",
        mass_g=160, posting=2, **inside,
    )
    for kind in ("packed", "posted", "returned"):
        create("fulfilment.ParcelEvent", parcel=parcel, kind=kind, happened_at=at)
"""


def test_postings_of_before_left_in_what_their_parcel_says(tmp_path):
    ask = "SELECT kind, mailer_id IS NOT NULL FROM fulfilment_parcelevent ORDER BY id"
    rows = rows_after_upgrade(tmp_path, before="0014_paper_names_differ_within_a_show", rows=ROWS, ask=ask)
    first, second = rows[:3], rows[3:]
    assert first == [("packed", 0), ("posted", 1), ("returned", 0)]
    assert second == [("packed", 0), ("posted", 0), ("returned", 0)]

"""
The parcels of a show as one table, for any carrier's upload and for a table of one's own. No e-mail addresses.

The tracking number stands near the end because it is filled in by hand.
"""

from campaign.models import Copy, Show
from campaign.queries.exports import Export
from campaign.sheets import Column, Kind, Row, Table
from fulfilment.models import Parcel

# Each column with what stands in it: the page shows this list.
COLUMNS = (
    (Column("Parcel", Kind.COUNT), "running number on slip and label"),
    (Column("Code"), "as in the bar code of the slip"),
    (Column("Posting", Kind.COUNT), "2 and more: it goes out again"),
    (Column("State"), "to pack, packed or posted"),
    (Column("Name"), "of the recipient"),
    (Column("Company"), "empty for most"),
    (Column("Street"), "with house number; further lines after a comma"),
    (Column("Post code"), "as its country writes it"),
    (Column("Town"), ""),
    (Column("Region"), "state or province, where the country asks for it"),
    (Column("Country"), "ISO 3166, two letters"),
    (Column("Weight in g", Kind.COUNT), "packed"),
    (Column("Prints", Kind.COUNT), "copies in it"),
    (Column("Contents"), "each copy with the title of its print"),
    (Column("Mailer"), "as in the packing material; empty where it is not said"),
    (Column("Length in mm", Kind.COUNT), "outside; 0 where the size is not known"),
    (Column("Width in mm", Kind.COUNT), "outside; of a tube its diameter"),
    (Column("Depth in mm", Kind.COUNT), "outside; of a tube its diameter"),
    (Column("Tube", Kind.FLAG), ""),
    (Column("Weight for the post in g", Kind.COUNT), "the greater of weight and weight by size"),
    (Column("Currency"), "ISO 4217, of the three sums that follow"),
    (Column("Postage", Kind.MONEY), "what posting costs by the table of postage"),
    (Column("Postage known", Kind.FLAG), "no: the table has no price, and 0 stands there"),
    (Column("Value", Kind.MONEY), "paid for the prints, without postage and added tax"),
    (Column("Insured", Kind.MONEY), "of the value, what the service covers"),
    (Column("Customs note"), "CN 22, CN 23 or empty"),
    (Column("Tracking number"), "fill it in and read the list in again"),
    (Column("Posted at", Kind.MOMENT), "UTC, empty before"),
)


def export_parcels(show: Show) -> Export:
    """Every parcel that is for somebody, by number. Two queries."""
    parcels = Parcel.objects.filter(show=show).select_related("mailer").order_by("number")
    rows = [_row(parcel, currency=show.currency) for parcel in parcels.prefetch_related("parcel_copies__copy__edition")]
    table = Table("Parcels", tuple(column for column, _ in COLUMNS), show.currency)
    return Export(name=f"{show.code}-parcels", table=table, rows=tuple(row for row in rows if row))


def _row(parcel: Parcel, *, currency: str) -> Row | None:
    copies = [row.copy for row in parcel.parcel_copies.all()]
    kept = [copy for copy in copies if copy.state == Copy.State.SPOKEN_FOR or parcel.is_posted]
    if not kept:
        return None
    place = {key: str(value) for key, value in parcel.address.items()}
    return (
        parcel.number, parcel.code, parcel.posting, parcel.get_state_display(), parcel.name,
        place.get("company_name", ""), ", ".join(place.get("street_address", "").splitlines()),
        place.get("postal_code", ""), place.get("city", ""), place.get("country_area", ""),
        place.get("country_code", ""), parcel.mass_g, len(kept),
        ", ".join(f"{copy.edition.title} {copy}" for copy in kept), str(parcel.mailer or ""), parcel.outer_length_mm,
        parcel.outer_width_mm, parcel.outer_depth_mm, parcel.is_tube, parcel.charged_mass_g or parcel.mass_g, currency,
        parcel.postage_minor or 0, parcel.postage_minor is not None, parcel.value_minor, parcel.insured_minor,
        parcel.customs_note, parcel.tracking_number, parcel.posted_at,
    )  # fmt: skip

"""The parcels of a show as one table, for any carrier's upload and for a table of one's own. No e-mail addresses."""

from campaign.models import Copy, Show
from campaign.queries.exports import Export
from campaign.sheets import Column, Kind, Row, Table
from fulfilment.models import Parcel

# Each column with what stands in it: the page shows this list.
COLUMNS = (
    (Column("Parcel", Kind.COUNT), "running number on slip and label"),
    (Column("Code"), "as in the bar code of the slip"),
    (Column("Posting", Kind.COUNT), "2 and more: it goes out again"),
    (Column("State"), "to_pack, packed or posted"),
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
    (Column("Tracking number"), "fill it in and read the list in again"),
    (Column("Posted at", Kind.MOMENT), "UTC, empty before"),
)


def export_parcels(show: Show) -> Export:
    """Every parcel that is for somebody, by number. Two queries."""
    parcels = Parcel.objects.filter(show=show).prefetch_related("parcel_copies__copy__edition").order_by("number")
    rows = [_row(parcel) for parcel in parcels]
    table = Table("Parcels", tuple(column for column, _ in COLUMNS), show.currency)
    return Export(name=f"{show.code}-parcels", table=table, rows=tuple(row for row in rows if row))


def _row(parcel: Parcel) -> Row | None:
    copies = [row.copy for row in parcel.parcel_copies.all()]
    kept = [copy for copy in copies if copy.state == Copy.State.SPOKEN_FOR or parcel.is_posted]
    if not kept:
        return None
    place = {key: str(value) for key, value in parcel.address.items()}
    return (
        parcel.number, parcel.code, parcel.posting, parcel.state, parcel.name, place.get("company_name", ""),
        ", ".join(place.get("street_address", "").splitlines()), place.get("postal_code", ""), place.get("city", ""),
        place.get("country_area", ""), place.get("country_code", ""), parcel.mass_g, len(kept),
        ", ".join(f"{copy.edition.title} {copy}" for copy in kept), parcel.tracking_number, parcel.posted_at,
    )  # fmt: skip

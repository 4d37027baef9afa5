"""Tracking numbers from a table, and the list of parcels."""

import pytest

from campaign.services.pledges import cancel_pledge
from campaign.sheets import UnreadableSheet, read_back
from fulfilment.models import Parcel, ParcelEvent
from fulfilment.queries.parcel_list import COLUMNS, export_parcels
from fulfilment.services.parcels import send_posted_notices
from fulfilment.services.tracking import read_tracking, take_tracking, write_parcel_list
from tests.fulfilment.scene import LATER, show_with_parcels

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
S10 = "RR473124829GB"


@pytest.fixture
def parcels(show):
    show_with_parcels(show)
    return list(Parcel.objects.all())


def read(show, *rows, heading="Code"):
    return read_tracking(show=show, data="\r\n".join([f"{heading},Tracking number", *rows]).encode())


def take(show, sheet):
    return take_tracking(show=show, sheet=sheet, by="ada", now=LATER)


def test_a_table_posts_its_parcels_and_again_changes_nothing(show, parcels):
    rows = [f"{parcels[0].code},rr 473124829 gb", f"{parcels[2].code},TRACK3", f"{parcels[1].code},"]
    sheet = read(show, *rows)
    assert [(row.place, row.outcome) for row in sheet.rows] == [
        (2, "posted with this number"), (3, "posted with this number"),
    ]  # fmt: skip
    assert take(show, sheet) == 2
    assert list(Parcel.objects.values_list("state", "tracking_number")) == [
        ("posted", S10), ("to_pack", ""), ("posted", "TRACK3"),
    ]  # fmt: skip
    again = read(show, *rows)
    assert (again.changes, again.faults) == ({}, ())
    assert take(show, again) == 0
    assert ParcelEvent.objects.count() == 2


def test_the_text_of_a_preview_reads_the_same(show, parcels):
    sheet = read(show, "1,=TRACK", "3,AB1", heading="Parcel")
    assert read_tracking(show=show, data=sheet.text.encode()) == sheet


def test_rows_that_cannot_be_taken_say_why(show, parcels):
    take(show, read(show, "1,TRACK1", heading="Parcel"))
    send_posted_notices(show=show, now=LATER)
    order = parcels[1].parcel_copies.get().copy.pledge
    cancel_pledge(pledge=order, by_backer=False, now=LATER)
    sheet = read(show, "1,OTHER", "2,T2", "3,RR473124828GB", "3,T3", "99,T9", heading="Parcel")
    faults = [row.fault for row in sheet.faults]
    assert len(faults) == 5
    for fault, words in zip(faults, ("notice", "cancelled", "check digit", "earlier row", "no parcel"), strict=True):
        assert words in fault


def test_a_table_without_the_columns_is_refused(show, parcels):
    with pytest.raises(UnreadableSheet, match="Parcel"):
        read(show, "1,2", heading="Number")
    with pytest.raises(UnreadableSheet, match="Tracking number"):
        read_tracking(show=show, data=b"Code,Number\r\n1,2\r\n")


@pytest.mark.parametrize("file_format", ["csv", "xlsx"])
def test_the_list_holds_every_parcel_and_is_read_in_again(show, parcels, file_format):
    Parcel.objects.filter(pk=parcels[0].pk).update(name="=HYPERLINK(1)")
    take(show, read(show, "1,TRACK1", heading="Parcel"))
    file = write_parcel_list(show=show, file_format=file_format)
    assert file.rows == 3
    [first, *_] = read_back(file.data, table=export_parcels(show).table)
    assert first[:5] == (1, parcels[0].code, 1, "posted", "=HYPERLINK(1)")
    assert parcels[0].email.encode() not in file.data
    by_heading = dict(zip((column.heading for column, _ in COLUMNS), first, strict=True))
    assert by_heading["Weight for the post in g"] == by_heading["Weight in g"] == 180
    assert (by_heading["Length in mm"], by_heading["Tube"], by_heading["Mailer"]) == (330, False, "")
    assert (by_heading["Postage"], by_heading["Postage known"], by_heading["Value"]) == (450, True, 4_500)
    assert (by_heading["Currency"], by_heading["Insured"], by_heading["Customs note"]) == ("EUR", 0, "")
    sheet = read_tracking(show=show, data=file.data)
    assert [(row.code, row.outcome, row.fault) for row in sheet.rows] == [(parcels[0].code, "", "")]

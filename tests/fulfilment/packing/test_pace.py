from datetime import timedelta

from fulfilment.packing.pace import parcels_an_hour
from fulfilment.packing.scans import copy_spellings, parcel_number, tidy_scan
from tests.builders import NOW


def every(seconds, *, count, start=NOW):
    return [start + timedelta(seconds=seconds * n) for n in range(count)]


def test_pace_counts_from_the_last_break():
    morning, noon = every(30, count=10), every(120, count=5, start=NOW + timedelta(hours=2))
    assert parcels_an_hour([*noon, *morning], now=noon[-1]) == 30


def test_too_few_or_a_break_now_is_no_pace():
    assert parcels_an_hour([], now=NOW) is None
    assert parcels_an_hour(every(60, count=2), now=NOW + timedelta(minutes=2)) is None
    assert parcels_an_hour(every(60, count=9), now=NOW + timedelta(hours=1)) is None
    assert parcels_an_hour(every(0, count=9), now=NOW) is None


def test_what_was_packed_later_than_now_does_not_count():
    assert parcels_an_hour(every(60, count=9), now=NOW + timedelta(minutes=2)) == 60


def test_scans_have_one_spelling():
    assert tidy_scan(" har bour\t12/80\r\n") == "HARBOUR12/80"
    assert copy_spellings(number=3, size=9, edition_code="x", codes=("ab c",)) == ("3", "3/9", "X3", "X3/9", "ABC")


def test_a_number_of_a_parcel_is_told_from_a_code():
    assert [parcel_number(scan) for scan in ("012", "#3", "3/9", "AB3", "1234567")] == [12, 3, None, None, None]

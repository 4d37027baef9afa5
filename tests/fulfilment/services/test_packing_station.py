"""A parcel is packed once, by one person, with exactly what belongs in it; every act leaves a row."""

import uuid

import pytest

from campaign.errors import NotInThisState
from campaign.models import Copy, Show
from campaign.services.pledges import cancel_pledge
from fulfilment.errors import NoSuchParcel, NotToBePacked, ParcelEmpty, ParcelHoldsOthers, ParcelToOpen
from fulfilment.models import Certificate, Parcel, ParcelEvent
from fulfilment.queries.packing_station import copy_key, read_station, take_scan
from fulfilment.services.packing_station import open_parcel, pack_parcel
from fulfilment.services.parcels import mark_posted, take_out_cancelled, undo_posted
from tests.fulfilment.scene import LATER, order, printed_show, show_with_parcels

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]


@pytest.fixture
def parcels(show):
    show_with_parcels(show)
    return list(Parcel.objects.all())


def keys(parcel):
    return [copy_key(copy) for copy in Copy.objects.filter(parcel_copy__parcel=parcel).select_related("edition")]


def pack(show, parcel, *, confirmed=None, key=None, by="kim", now=LATER):
    return pack_parcel(
        show=show, code=parcel.code, confirmed=keys(parcel) if confirmed is None else confirmed,
        request_key=key or uuid.uuid4(), by=by, now=now,
    )  # fmt: skip


def history(parcel):
    return list(parcel.events.values_list("kind", "by"))


def test_a_parcel_whose_copies_are_all_confirmed_is_packed(show, parcels):
    packed = pack(show, parcels[0])
    packed.refresh_from_db()
    assert (packed.state, packed.packed_at, packed.packed_by) == ("packed", LATER, "kim")
    assert history(packed) == [("packed", "kim")]


def test_the_same_act_sent_twice_is_one_act(show, parcels):
    key = uuid.uuid4()
    assert pack(show, parcels[0], key=key) == pack(show, parcels[0], key=key)
    assert ParcelEvent.objects.count() == 1
    with pytest.raises(NotToBePacked, match="another parcel"):
        pack(show, parcels[1], key=key)


def test_who_comes_second_is_told_by_whom_and_when(show, parcels):
    pack(show, parcels[0], by="kim")
    with pytest.raises(NotToBePacked) as caught:
        pack(show, parcels[0], by="lee")
    assert "Parcel 1 is packed already by kim, " in caught.value.sentence
    assert Parcel.objects.get(number=1).packed_by == "kim"


@pytest.mark.parametrize("change", ["fewer", "more"])
def test_other_copies_than_belong_in_it_pack_nothing(show, parcels, change):
    confirmed = [] if change == "fewer" else [*keys(parcels[0]), *keys(parcels[1])]
    with pytest.raises(ParcelHoldsOthers):
        pack(show, parcels[0], confirmed=confirmed)
    assert Parcel.objects.get(number=1).state == "to_pack"
    assert not ParcelEvent.objects.exists()


def test_unknown_posted_cancelled_and_called_off_say_so(show, parcels):
    with pytest.raises(NoSuchParcel):
        pack_parcel(show=show, code="NOSUCH", confirmed=[], request_key=uuid.uuid4(), by="kim", now=LATER)
    mark_posted(show=show, tracking={parcels[0].code: ""}, now=LATER)
    with pytest.raises(NotToBePacked, match="posted"):
        pack(show, parcels[0])
    cancel_pledge(pledge=Copy.objects.get(parcel_copy__parcel=parcels[1]).pledge, by_backer=False, now=LATER)
    with pytest.raises(ParcelEmpty):
        pack(show, parcels[1])
    Show.objects.filter(pk=show.pk).update(state=Show.State.CALLED_OFF)
    with pytest.raises(NotInThisState):
        pack(show, parcels[2])


def test_a_packed_parcel_is_opened_again_once(show, parcels):
    pack(show, parcels[0])
    assert open_parcel(show=show, code=parcels[0].code, by="lee", now=LATER)
    assert not open_parcel(show=show, code=parcels[0].code, by="lee", now=LATER)
    assert history(parcels[0]) == [("packed", "kim"), ("unpacked", "lee")]
    pack(show, parcels[0])
    mark_posted(show=show, tracking={parcels[0].code: ""}, now=LATER)
    with pytest.raises(NotToBePacked):
        open_parcel(show=show, code=parcels[0].code, by="lee", now=LATER)
    with pytest.raises(NoSuchParcel):
        open_parcel(show=show, code="NOSUCH", by="lee", now=LATER)


def test_a_mark_of_posting_taken_back_leaves_it_packed(show, parcels):
    pack(show, parcels[0])
    codes = {parcel.code: "" for parcel in parcels[:2]}
    assert mark_posted(show=show, tracking=codes, now=LATER, by="ada") == 2
    assert undo_posted(show=show, codes=frozenset(codes), now=LATER, by="ada") == 2
    assert list(Parcel.objects.values_list("state", flat=True)) == ["packed", "to_pack", "to_pack"]
    assert history(parcels[0]) == [("packed", "kim"), ("posted", "ada"), ("not_posted", "ada")]


def test_what_was_cancelled_after_packing_is_taken_out_before_it_is_posted(show):
    for _ in range(2):
        order(show, name="Iris Same", email="same@example.org")
    show_with_parcels(show, orders=0)
    parcel = Parcel.objects.get()
    pack(show, parcel)
    gone, kept = Copy.objects.filter(parcel_copy__parcel=parcel).order_by("number")
    cancel_pledge(pledge=gone.pledge, by_backer=False, now=LATER)
    with pytest.raises(ParcelToOpen) as caught:
        mark_posted(show=show, tracking={parcel.code: ""}, now=LATER)
    assert f"was packed before {gone} was cancelled" in caught.value.sentence
    assert take_out_cancelled(show=show, now=LATER, by="ada") == 1
    parcel.refresh_from_db()
    assert parcel.state == "to_pack"
    assert history(parcel)[-1] == ("unpacked", "ada")
    pack(show, parcel, confirmed=[copy_key(kept)])


def test_the_station_reads_in_few_queries(show, django_assert_max_num_queries):
    printed_show(show, orders=2)
    show_with_parcels(show, orders=0)
    with django_assert_max_num_queries(4):
        station = read_station(show, now=LATER)
    assert (station.packed, station.left, station.pace, station.minutes_left) == (0, 2, None, None)


def test_a_certificate_that_counts_confirms_its_copy(show, parcels):
    copy = Copy.objects.get(parcel_copy__parcel=parcels[0])
    kept = Certificate.objects.create(copy=copy, pledge=copy.pledge, issued_at=LATER)
    void = Certificate(copy=copy, pledge=copy.pledge, issued_at=LATER, voided_at=LATER)
    void.save()
    station = read_station(show, now=LATER)
    assert take_scan(station, code=parcels[0].code, confirmed=(), scan=kept.code).is_complete
    assert take_scan(station, code=parcels[0].code, confirmed=(), scan=void.code).is_wrong


def test_scans_lead_from_slip_to_copies(show, parcels):
    station = read_station(show, now=LATER)
    one, two, _ = station.parcels
    [copy] = one.copies
    slip = take_scan(station, code="", confirmed=(), scan=f" {one.code.lower()}\r")
    assert (slip.parcel, slip.said, slip.is_complete) == (one, "", False)
    assert take_scan(station, code="", confirmed=(), scan="1").parcel == one
    for scan in copy.scans:
        assert take_scan(station, code=one.code, confirmed=(), scan=scan).is_complete
    wrong = take_scan(station, code=one.code, confirmed=(), scan=two.copies[0].label)
    assert wrong.is_wrong
    assert wrong.said.endswith(f"does not belong in parcel 1. It belongs in parcel 2, for {two.name}.")
    assert "slip of parcel 2" in take_scan(station, code=one.code, confirmed=(), scan=two.code).said
    assert "Nothing was confirmed" in take_scan(station, code=one.code, confirmed=(), scan="nonsense").said
    assert take_scan(station, code="", confirmed=(), scan="nonsense").is_wrong
    again = take_scan(station, code=one.code, confirmed=(copy.key,), scan=copy.label)
    assert (again.said, again.is_wrong, again.is_complete) == (f"{copy.label} is confirmed already.", False, False)

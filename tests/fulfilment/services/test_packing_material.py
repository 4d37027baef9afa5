"""What is set up after parcels were numbered: those to be packed are reckoned anew, and their papers follow."""

import uuid
from dataclasses import replace

import pytest
from django.db import IntegrityError, transaction

from campaign.errors import NotReady
from campaign.models import Copy, Job, Paper
from campaign.services.pledges import cancel_pledge
from fulfilment.errors import MailerInUse
from fulfilment.models import CustomsFacts, Mailer, Parcel, PostService, TravelFacts
from fulfilment.queries.parcel_packing import read_packing_state
from fulfilment.services.addresses import NewAddress, correct_address
from fulfilment.services.checks import check_parcel_sums
from fulfilment.services.packing_material import (
    CustomsWish,
    MailerWish,
    ServiceWish,
    TravelWish,
    reckon_unreckoned,
    remove_mailer,
    save_customs,
    save_mailer,
    save_travel,
    set_services,
)
from fulfilment.services.packing_station import pack_parcel
from tests.builders import LONDON_ADDRESS
from tests.fulfilment.packed import FLAT, set_up_packing, set_up_service
from tests.fulfilment.scene import LATER, close, edition_of, end, order, print_all, work

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
WISH = MailerWish(**FLAT)
SDR = CustomsWish(sdr_milli=124_350, sdr_read_on=LATER.date())
HERE = TravelWish(thickness_um=400, mass_g=40, commodity_code="4911.91", origin_country="DE")


@pytest.fixture
def parcels(show):
    """One parcel to Berlin and one to London, in mailers, their papers made."""
    set_up_packing(show)
    set_up_service(show, zone="Europe")
    order(show)
    order(show, address=LONDON_ADDRESS)
    close(show)
    print_all(show)
    assert work(end(show)) == "done"
    show.refresh_from_db()
    return {parcel.address["country_code"]: parcel for parcel in Parcel.objects.all()}


def papers():
    return set(Paper.objects.values_list("name", flat=True))


def test_a_heavier_mailer_makes_its_parcels_heavier_and_their_papers_new(show, parcels):
    mailer = Mailer.objects.get()
    save_mailer(show=show, mailer=mailer, wish=replace(WISH, mass_g=300), now=LATER)
    assert {parcel.mass_g for parcel in Parcel.objects.all()} == {340}
    assert not Paper.objects.exists()
    assert work(Job.objects.get(kind="papers")) == "done"
    assert Paper.objects.count() == 4


def test_more_mailers_change_no_parcel_and_no_paper(show, parcels):
    before = papers()
    save_mailer(show=show, mailer=Mailer.objects.get(), wish=replace(WISH, count=99), now=LATER)
    assert papers() == before


def test_a_packed_parcel_stays_as_it_was_packed(show, parcels):
    berlin = parcels["DE"]
    number = berlin.parcel_copies.get().copy.number
    pack_parcel(
        show=show, code=berlin.code, confirmed=[f"harbour/{number}"], request_key=uuid.uuid4(), by="kim", now=LATER
    )  # fmt: skip
    save_mailer(show=show, mailer=Mailer.objects.get(), wish=replace(WISH, mass_g=300), now=LATER)
    assert Parcel.objects.get(pk=berlin.pk).mass_g == 160
    assert Parcel.objects.get(pk=parcels["GB"].pk).mass_g == 340


def test_two_mailers_cannot_share_a_name(show):
    save_mailer(show=show, mailer=None, wish=WISH, now=LATER)
    with pytest.raises(NotReady, match="already"):
        save_mailer(show=show, mailer=None, wish=WISH, now=LATER)
    other = save_mailer(show=show, mailer=None, wish=replace(WISH, name="Other"), now=LATER)
    with pytest.raises(NotReady, match="already"):
        save_mailer(show=show, mailer=other, wish=WISH, now=LATER)


def test_a_mailer_that_parcels_travel_in_stays(show, parcels):
    mailer = Mailer.objects.get()
    with pytest.raises(MailerInUse) as refused:
        remove_mailer(mailer=mailer)
    assert refused.value.sentence.startswith("2 parcels travel in “Board mailer A4”")
    Parcel.objects.update(mailer=None, outer_length_mm=0, outer_width_mm=0, outer_depth_mm=0)
    remove_mailer(mailer=mailer)
    remove_mailer(mailer=mailer)  # once more is nothing
    assert not Mailer.objects.exists()


def test_a_price_of_an_sdr_makes_the_short_note_of_the_full_one_and_drops_the_old_paper(show, parcels):
    assert parcels["GB"].customs_note == "CN 23"
    assert "customs-cn23-001-002.pdf" in papers()
    save_customs(show=show, wish=SDR, now=LATER)
    assert Parcel.objects.get(pk=parcels["GB"].pk).customs_note == "CN 22"
    work(Job.objects.get(kind="papers"))
    assert "customs-cn22-001-002.pdf" in papers() and "customs-cn23-001-002.pdf" not in papers()


def test_a_commodity_code_makes_the_notes_again_though_no_sum_changes(show, parcels):
    save_travel(edition=edition_of(show), wish=replace(HERE, commodity_code="9702.90"), now=LATER)
    assert not Paper.objects.exists()
    work(Job.objects.get(kind="papers"))
    before = set(Paper.objects.values_list("code", flat=True))
    save_travel(edition=edition_of(show), wish=replace(HERE, commodity_code="9702.90"), now=LATER)  # the same again
    assert set(Paper.objects.values_list("code", flat=True)) == before
    assert TravelFacts.objects.get().commodity_code == "9702.90"


def test_the_same_for_customs_again_changes_nothing(show, parcels):
    save_customs(show=show, wish=SDR, now=LATER)
    work(Job.objects.get(kind="papers"))
    before = set(Paper.objects.values_list("code", flat=True))
    save_customs(show=show, wish=SDR, now=LATER)
    assert set(Paper.objects.values_list("code", flat=True)) == before
    assert CustomsFacts.objects.count() == 1


def test_a_limit_that_is_set_later_is_said_of_each_parcel_that_passes_it(show, parcels):
    assert read_packing_state(show, today=LATER.date()).faults == {}
    set_services(show=show, services=[ServiceWish(zone="Germany", mass_g=100)], now=LATER)
    state = read_packing_state(show, today=LATER.date())
    assert state.faults == {parcels["DE"].pk: ("weight 160 g, at most 100 g",)}
    assert [service.zone for service in PostService.objects.all()] == ["Germany"]  # the table is replaced


def test_a_zone_has_one_service(show):
    with pytest.raises(NotReady, match="two services"):
        set_services(show=show, services=[ServiceWish(zone="Germany"), ServiceWish(zone="Germany")], now=LATER)


def test_a_corrected_address_brings_its_own_postage_note_and_limits(show, parcels):
    pledge = parcels["DE"].parcel_copies.get().copy.pledge
    to = NewAddress("Mary Sample", LONDON_ADDRESS, bears_postage=True)
    correct_address(pledge=pledge, number=0, to=to, answering=None, now=LATER)
    moved = Parcel.objects.get(pk=parcels["DE"].pk)
    assert (moved.postage_minor, moved.customs_note, moved.insured_minor) == (820, "CN 23", 4_500)
    work(Job.objects.get(kind="papers"))
    assert "customs-cn23-001-002.pdf" in papers()


@pytest.mark.parametrize(
    "change",
    [
        {"outer_length_mm": 100}, {"inner_depth_mm": 0}, {"is_tube": True}, {"price_minor": -1},
    ],
)  # fmt: skip
def test_no_row_holds_a_mailer_that_cannot_be(show, change):
    with pytest.raises(IntegrityError), transaction.atomic():
        Mailer.objects.create(show=show, **{**FLAT, **change})


@pytest.mark.parametrize(
    "change",
    [
        {"customs_note": "CN 24"}, {"insured_minor": 9_999_999}, {"postage_minor": -1}, {"charged_mass_g": 1},
        {"outer_depth_mm": 0}, {"value_minor": 0},
    ],
)  # fmt: skip
def test_no_row_holds_a_parcel_whose_sums_cannot_be(show, parcels, change):
    with pytest.raises(IntegrityError), transaction.atomic():
        Parcel.objects.filter(insured_minor__gt=0).update(**change)


def test_a_new_cover_makes_only_the_papers_again_that_say_it(show, parcels):
    """Cover stands on the customs note of the parcel to London, on no slip or label."""
    [zone] = {rate.zone for rate in show.postage_rates.all() if "DE" in rate.countries}
    Parcel.objects.filter(pk=parcels["GB"].pk).update(state="packed", packed_at=LATER)
    before = papers()
    set_services(show=show, services=[ServiceWish(zone=zone, insured_up_to_minor=10_000_000)], now=LATER)
    berlin = Parcel.objects.get(pk=parcels["DE"].pk)
    assert berlin.insured_minor == berlin.value_minor > 0
    assert papers() == before


def test_parcels_of_an_earlier_release_get_their_sums_once(show, parcels):
    sums = Parcel.objects.order_by("pk").values_list("charged_mass_g", "postage_minor", "value_minor", "customs_note")
    wanted = list(sums)
    assert all(value for _, _, value, _ in wanted)
    Parcel.objects.update(charged_mass_g=0, postage_minor=None, value_minor=0, insured_minor=0, customs_note="")
    assert [reckon_unreckoned(now=LATER) for _ in range(2)] == [1, 0]
    assert list(sums) == wanted


def test_an_empty_parcel_of_an_earlier_release_is_not_looked_for_at_every_sweep(show, parcels):
    for copy in Copy.objects.filter(parcel_copy__parcel=parcels["DE"]).select_related("pledge"):
        cancel_pledge(pledge=copy.pledge, by_backer=False, now=LATER)
    Parcel.objects.update(charged_mass_g=0)
    assert [reckon_unreckoned(now=LATER) for _ in range(2)] == [1, 0]


def test_postage_that_is_entered_late_is_reckoned_by_a_click(show, parcels, ada_client):
    Parcel.objects.update(postage_minor=None)
    ada_client.post(f"/studio/{show.code}/send/material/reckon/")
    assert not Parcel.objects.filter(postage_minor=None).exists()


def test_a_removed_person_raises_no_alarm(show, parcels):
    Parcel.objects.filter(pk=parcels["GB"].pk).update(name="", email="", address={}, customs_note="")
    assert check_parcel_sums().difference is None

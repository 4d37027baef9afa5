"""Another mailer, what the scales say, and one parcel all the same; before a parcel is packed, with its limits."""

import uuid
from dataclasses import replace

import pytest

from campaign.errors import NotReady
from campaign.models import Copy, Job, Paper, Pledge
from campaign.services.pledges import cancel_pledge
from fulfilment.errors import AddressesUnfit, AgainstTheLimits, NoParcelTakes, NoSuchParcel, NotRefused, NotToBePacked
from fulfilment.models import Mailer, PackAnyway, Parcel, ParcelEvent
from fulfilment.queries.parcel_packing import read_packing_state
from fulfilment.services.addresses import NewAddress, correct_address
from fulfilment.services.packing_material import ServiceWish, reckon_parcels, set_services
from fulfilment.services.packing_station import open_parcel, pack_parcel
from fulfilment.services.parcel_plan import PackingWish, change_packing, pack_anyway
from fulfilment.services.parcels import mark_posted, take_out_cancelled
from tests.builders import LONDON_ADDRESS
from tests.fulfilment.packed import FLAT, TUBE, set_up_customs, set_up_packing, set_up_service
from tests.fulfilment.scene import LATER, close, end, order, print_all, printed_show, work

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
ROOMY = {**FLAT, "name": "Board mailer A3", "inner_length_mm": 440, "outer_length_mm": 460, "mass_g": 200}


@pytest.fixture
def parcel(show):
    """One parcel of two copies in the smaller of two mailers, its papers made."""
    set_up_packing(show, mailers=(FLAT, ROOMY, TUBE))
    set_up_service(show)
    order(show, copies=2)
    close(show)
    print_all(show)
    assert work(end(show)) == "done"
    return Parcel.objects.get()


def change(parcel, **wish):
    done = change_packing(show=parcel.show, code=parcel.code, wish=PackingWish(**wish), by="bo", now=LATER)
    parcel.refresh_from_db()
    return done


def code_of(name):
    return Mailer.objects.get(name=name).code


def test_another_mailer_changes_size_and_mass_and_makes_the_papers_again(parcel):
    assert parcel.mailer.name == FLAT["name"]
    before = set(Paper.objects.values_list("code", flat=True))
    assert change(parcel, mailer_code=code_of("Board mailer A3"))
    assert (parcel.mailer.name, parcel.mass_g, parcel.outer_length_mm) == ("Board mailer A3", 280, 460)
    assert not Paper.objects.exists()  # no stale weight can be printed meanwhile
    job = Job.objects.get(kind="papers")
    assert job.state == "waiting"
    assert work(job) == "done"
    assert not before & set(Paper.objects.values_list("code", flat=True))


def test_the_scales_overrule_the_sum_and_the_history_says_so(parcel):
    assert change(parcel, mailer_code=parcel.mailer.code, weighed_g=431)
    assert (parcel.mass_g, parcel.charged_mass_g, parcel.is_weighed) == (431, 431, True)
    event = ParcelEvent.objects.get(kind="changed")
    assert (event.by, event.note) == ("bo", "Board mailer A4, 431 g, by the scales")


def test_the_same_again_changes_nothing(parcel):
    wish = {"mailer_code": code_of("Board mailer A3"), "weighed_g": 431}
    assert change(parcel, **wish)
    assert not change(parcel, **wish)
    assert ParcelEvent.objects.filter(kind="changed").count() == 1


def test_what_does_not_fit_is_refused_in_words_and_nothing_changes(parcel):
    with pytest.raises(AgainstTheLimits) as refused:
        change(parcel, mailer_code=code_of("Tube 64 cm"))
    assert refused.value.faults == ("Harbour light must lie flat",)
    assert "Nothing was changed" in refused.value.sentence
    parcel.refresh_from_db()
    assert parcel.mailer.name == FLAT["name"] and Paper.objects.exists()


def test_what_is_too_heavy_is_refused_with_the_limit(parcel):
    with pytest.raises(AgainstTheLimits) as refused:
        change(parcel, mailer_code=parcel.mailer.code, weighed_g=2_300)
    assert refused.value.faults == ("weight 2,300 g, at most 2,000 g",)


def test_by_a_tick_it_goes_all_the_same_and_says_why_not(parcel):
    assert change(parcel, mailer_code=code_of("Tube 64 cm"), anyway=True)
    assert (parcel.is_tube, parcel.caution) == (True, "Harbour light must lie flat")
    state = read_packing_state(parcel.show, today=LATER.date())
    assert state.faults == {parcel.pk: ("Harbour light must lie flat",)}


def test_what_stood_against_a_parcel_goes_with_its_cause(parcel):
    change(parcel, mailer_code=parcel.mailer.code, weighed_g=2_300, anyway=True)
    assert parcel.caution == "weight 2,300 g, at most 2,000 g"
    service = ServiceWish(zone="Germany", name="Parcel", mass_g=2_100)
    set_services(show=parcel.show, services=[service], now=LATER)
    parcel.refresh_from_db()
    assert parcel.caution == "weight 2,300 g, at most 2,100 g"
    set_services(show=parcel.show, services=[replace(service, mass_g=5_000)], now=LATER)
    parcel.refresh_from_db()
    assert parcel.caution == ""
    set_services(show=parcel.show, services=[service], now=LATER)
    parcel.refresh_from_db()
    assert parcel.caution == "", "nobody has said that it goes all the same"


def test_a_corrected_address_says_anew_what_stands_against_its_parcel(parcel):
    set_up_service(parcel.show, zone="Europe", mass_g=2_500)
    change(parcel, mailer_code=parcel.mailer.code, weighed_g=2_300, anyway=True)
    pledge = Pledge.objects.get()
    to = NewAddress(name=pledge.name, address=LONDON_ADDRESS, bears_postage=True)
    correct_address(pledge=pledge, number=0, to=to, answering=None, now=LATER)
    parcel.refresh_from_db()
    assert (parcel.address["country_code"], parcel.mass_g, parcel.caution) == ("GB", 2_300, "")


def test_a_mailer_of_another_show_is_not_there(parcel):
    with pytest.raises(NotReady):
        change(parcel, mailer_code="NOSUCHONE")


def test_a_parcel_of_another_code_is_not_there(parcel):
    parcel.code = "NOSUCHONE"
    with pytest.raises(NoSuchParcel):
        change_packing(show=parcel.show, code="NOSUCHONE", wish=PackingWish(), by="", now=LATER)


def test_what_is_packed_has_to_be_opened_first(parcel):
    confirmed = {f"harbour/{number}" for number in (1, 2)}
    pack_parcel(
        show=parcel.show, code=parcel.code, confirmed=confirmed, request_key=uuid.uuid4(), by="bo", now=LATER
    )  # fmt: skip
    with pytest.raises(NotToBePacked, match="is packed already by bo"):
        change(parcel, weighed_g=300)
    open_parcel(show=parcel.show, code=parcel.code, by="bo", now=LATER)
    assert change(parcel, weighed_g=300)


def test_what_is_posted_stays(parcel):
    mark_posted(show=parcel.show, tracking={parcel.code: ""}, now=LATER)
    with pytest.raises(NotToBePacked, match="was posted"):
        change(parcel, weighed_g=300)


def test_a_cancelled_copy_takes_its_mass_its_value_and_the_word_of_the_scales_along(show):
    set_up_packing(show)
    set_up_service(show, zone="Europe")
    set_up_customs(show)
    same = {"name": "Mary Sample", "email": "mary@example.org", "address": LONDON_ADDRESS}
    order(show, **same)
    gone = order(show, **same)
    close(show)
    print_all(show)
    job = end(show)
    work(job)
    parcel = Parcel.objects.get()
    change(parcel, mailer_code=parcel.mailer.code, weighed_g=333)
    assert (parcel.value_minor, parcel.customs_note) == (9_000, "CN 22")
    work(job)
    cancel_pledge(pledge=gone, by_backer=False, now=LATER)
    assert take_out_cancelled(show=show, now=LATER) == 1
    parcel.refresh_from_db()
    assert (parcel.mass_g, parcel.is_weighed, parcel.value_minor) == (160, False, 4_500)
    assert not Paper.objects.exists()  # the customs note said more than there is


@pytest.fixture
def refused(show):
    """Two orders that fit nothing."""
    set_up_packing(show, mailers=(TUBE,))
    printed_show(show, orders=2)
    assert work(end(show)) == "done"
    assert not Parcel.objects.exists()
    show.refresh_from_db()
    return show


def test_ending_printing_again_says_what_is_refused_and_makes_no_empty_job(refused):
    with pytest.raises(NoParcelTakes) as caught:
        end(refused)
    assert len(caught.value.names) == 2
    assert caught.value.sentence.startswith(
        "No parcel takes 1/20 Harbour light, 2/20 Harbour light: “Harbour light” in "
    )
    assert "must lie flat" in caught.value.sentence and caught.value.sentence.count("must lie flat") == 1
    assert Job.objects.count() == 1


def test_a_job_begun_again_counts_only_the_parcels_that_there_will_be(refused):
    pack_anyway(show=refused, copy_name="harbour/1", by="ada", now=LATER)
    Job.objects.order_by("pk").last().delete()
    assert end(refused).title == "Slips and labels for 1 parcel", "the other copy is refused still"


def test_packed_anyway_one_address_gets_its_parcel_and_the_other_waits(refused):
    job = pack_anyway(show=refused, copy_name="harbour/1", by="ada", now=LATER)
    assert job.title == "Slips and labels for 1 parcel"
    assert work(job) == "done"
    parcel = Parcel.objects.get()
    assert parcel.parcel_copies.get().copy.number == 1
    assert "must lie flat" in parcel.caution
    (left,) = read_packing_state(refused, today=LATER.date()).refused
    assert left.copy_name == "harbour/2"


def test_packed_anyway_its_reasons_are_those_of_today(refused):
    work(pack_anyway(show=refused, copy_name="harbour/1", by="ada", now=LATER))
    assert Parcel.objects.get().caution == "“Harbour light” in Tube 64 cm: Harbour light must lie flat"
    reckon_parcels(show=refused, now=LATER)
    assert Parcel.objects.get().caution == "“Harbour light” in Tube 64 cm: Harbour light must lie flat"
    Mailer.objects.filter(name=TUBE["name"]).update(name="Tube 66 cm")
    reckon_parcels(show=refused, now=LATER)
    assert Parcel.objects.get().caution == "“Harbour light” in Tube 66 cm: Harbour light must lie flat"
    Mailer.objects.create(show=refused, **FLAT)
    reckon_parcels(show=refused, now=LATER)
    assert Parcel.objects.get().caution == ""


def test_an_address_without_a_label_is_not_packed_anyway(refused):
    Pledge.objects.filter(held_copies__number=2).update(address={"country_code": "DE", "city": "Berlin"})
    with pytest.raises(AddressesUnfit):
        pack_anyway(show=refused, copy_name="harbour/1", by="ada", now=LATER)
    assert not PackAnyway.objects.exists()


def test_who_has_a_parcel_is_not_refused_any_more(refused):
    work(pack_anyway(show=refused, copy_name="harbour/1", by="ada", now=LATER))
    with pytest.raises(NotRefused):
        pack_anyway(show=refused, copy_name="harbour/1", by="ada", now=LATER)
    assert not PackAnyway.objects.exists()  # it was said of that parcel


def test_the_word_does_not_follow_copies_that_go_somewhere_else(refused):
    work(pack_anyway(show=refused, copy_name="harbour/1", by="ada", now=LATER))
    parcel = Parcel.objects.get()
    Copy.objects.filter(number=1).update(is_packed=False)
    parcel.parcel_copies.all().delete()  # as when an address that it shared was corrected
    assert parcel.name in [one.group.name for one in read_packing_state(refused, today=LATER.date()).refused]


def test_while_papers_are_made_nothing_is_begun_twice(refused):
    pack_anyway(show=refused, copy_name="harbour/1", by="ada", now=LATER)
    with pytest.raises(NotReady):
        pack_anyway(show=refused, copy_name="harbour/2", by="ada", now=LATER)


def test_with_the_right_mailer_the_refused_are_packed_by_the_rules(refused):
    Mailer.objects.create(show=refused, **FLAT)
    pack_anyway_is_needless = read_packing_state(refused, today=LATER.date()).refused
    assert pack_anyway_is_needless == ()
    assert work(end(refused)) == "done"
    assert [parcel.mailer.name for parcel in Parcel.objects.all()] == ["Board mailer A4"] * 2
    assert Copy.objects.filter(is_packed=True).count() == 2

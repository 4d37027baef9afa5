"""Correcting an address after printing ended: the parcel follows, its papers are made again, a shared one is left."""

import uuid

import pytest

from campaign.errors import NotInThisState, NotReady
from campaign.models import ChangeRequest, Copy, Job, OutboxMessage, Paper
from campaign.queries.basket import LineWish
from campaign.services.change_requests import ask_for_change
from campaign.services.pledges import cancel_pledge
from campaign.services.taxes import TaxWish, set_taxes
from fulfilment.errors import AlreadyPosted
from fulfilment.models import Parcel
from fulfilment.services.addresses import Answering, NewAddress, correct_address
from fulfilment.services.checks import check_parcel_addresses, check_parcel_copies, check_parcels
from fulfilment.services.papers import CHUNK
from fulfilment.services.parcels import mark_posted
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, place
from tests.fulfilment.scene import LATER, close, edition_of, end, order, print_all, show_with_parcels, work

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
HAMBURG = {"country_code": "DE", "street_address": "Probeweg 1", "postal_code": "20095", "city": "Hamburg"}
FRIEND = {"country_code": "FR", "street_address": "8 rue de l’Exemple", "postal_code": "75008", "city": "Paris"}


def correct(pledge, *, number=0, name="Mary Sample", address=HAMBURG, answering=None, bears=False):
    return correct_address(
        pledge=pledge, number=number, to=NewAddress(name, address, bears_postage=bears), answering=answering, now=LATER
    )


def mails(name):
    return OutboxMessage.objects.filter(name=name).count()


def is_sound():
    return not any(check().difference for check in (check_parcels, check_parcel_copies, check_parcel_addresses))


def test_the_parcel_follows_and_its_papers_are_made_again(show):
    job = show_with_parcels(show)
    parcel = Parcel.objects.get(number=2)
    pledge, before = parcel.parcel_copies.get().copy.pledge, set(Paper.objects.values_list("pk", flat=True))
    done = correct(pledge)
    assert (done.has_moved, done.parcels, done.unpacked) == (True, (2,), 0)
    parcel.refresh_from_db()
    assert (parcel.name, parcel.address) == ("Mary Sample", HAMBURG)
    assert not Paper.objects.exists()  # no stale label can be printed while the new one is being made
    assert work(job) == "done"
    after = set(Paper.objects.values_list("pk", flat=True))
    assert len(after) == len(before) and not after & before
    job.refresh_from_db()
    assert (job.state, job.done, job.total) == ("done", 3, 3)
    assert mails("address_changed") == 1 and is_sound()


def test_only_the_papers_that_show_it_are_made_again(show):
    show_with_parcels(show, orders=1)
    job = Job.objects.get(kind="papers")
    first = Parcel.objects.get()
    pledge = first.parcel_copies.get().copy.pledge
    Parcel.objects.bulk_create(
        Parcel(show=show, job=job, number=number, name="x", email="x@example.org", address=BERLIN_ADDRESS, mass_g=1)
        for number in range(2, CHUNK + 2)
    )
    Paper.objects.all().delete()
    Job.objects.update(state="waiting", total=CHUNK + 1, done=0, finished_at=None)
    assert work(job) == "done"
    kept = set(Paper.objects.filter(name__contains="026-026").values_list("pk", flat=True))
    assert kept
    correct(pledge)
    assert set(Paper.objects.values_list("pk", flat=True)) == kept


def test_the_same_address_again_changes_nothing(show):
    show_with_parcels(show)
    pledge = Parcel.objects.get(number=2).parcel_copies.get().copy.pledge
    correct(pledge)
    made = Job.objects.get(kind="papers").state
    assert correct(pledge).has_moved is False
    assert mails("address_changed") == 1 and Job.objects.get(kind="papers").state == made


def test_a_worker_with_the_old_address_in_hand_writes_nothing(show):
    order(show)
    pledge = order(show)
    close(show)
    print_all(show)
    job = end(show)
    stopped = []

    class Clock:
        """Corrects the address at the worker's third look at the clock: numbered, its papers not written yet."""

        looks = 0

        def __call__(self):
            self.looks += 1
            if self.looks == 3:
                stopped.append(correct(pledge))
            return LATER

    from fulfilment.services.papers import make_papers

    assert make_papers(job_pk=job.pk, clock=Clock()) == "lost"
    assert stopped and stopped[0].has_moved and not Paper.objects.exists()
    assert work(job) == "done" and is_sound()
    assert Parcel.objects.filter(name="Mary Sample", address=HAMBURG).count() == 1


def test_what_shares_a_parcel_with_another_order_leaves_it(show):
    same = {"name": "Mary Sample", "email": "mary@example.org"}
    stays, goes = order(show, **same), order(show, **same)
    close(show)
    print_all(show)
    work(end(show))
    parcel = Parcel.objects.get()
    done = correct(goes)
    assert (done.parcels, done.unpacked) == ((1,), 1)
    parcel.refresh_from_db()
    assert parcel.address == BERLIN_ADDRESS and parcel.mass_g == 180
    assert parcel.parcel_copies.get().copy.pledge == stays
    assert not Copy.objects.get(pledge=goes).is_packed
    assert work(Job.objects.get()) == "done"  # what is left in the parcel has a slip that says so
    assert work(end(show)) == "done"
    assert Parcel.objects.get(number=2).address == HAMBURG and is_sound()


@pytest.fixture
def two(show):
    """An order of one print for its backer and one for a friend in France, in two parcels."""
    pledge = order(show, name="Mary Sample", email="mary@example.org", address=BERLIN_ADDRESS,
                   lines=(LineWish("harbour", 1), LineWish("harbour", 1, "Wim Sample", FRIEND)))  # fmt: skip
    close(show)
    print_all(show)
    work(end(show))
    return pledge


def test_a_friends_parcel_follows_alone(two):
    correct(two, number=1, name="Wim Sample", address={**FRIEND, "street_address": "9 rue de l’Exemple"})
    found = {parcel.name: parcel.address["street_address"] for parcel in Parcel.objects.all()}
    assert found == {"Mary Sample": "Musterweg 12", "Wim Sample": "9 rue de l’Exemple"}
    assert mails("address_changed") == 1 and is_sound()


def test_the_backers_parcel_follows_without_the_friends(two):
    correct(two)
    assert {parcel.name: parcel.address["city"] for parcel in Parcel.objects.all()} == {
        "Mary Sample": "Hamburg", "Wim Sample": "Paris"
    }  # fmt: skip
    assert is_sound()


def test_there_is_no_second_friend(two):
    with pytest.raises(NotReady):
        correct(two, number=2)


def test_what_is_posted_stays(show, two):
    parcel = Parcel.objects.get(name="Mary Sample")
    mark_posted(show=show, tracking={parcel.code: ""}, now=LATER)
    with pytest.raises(AlreadyPosted):
        correct(two)
    correct(two, number=1, name="Wim Sample", address={**FRIEND, "street_address": "9 rue de l’Exemple"})
    parcel.refresh_from_db()
    assert parcel.address == BERLIN_ADDRESS and is_sound()


def test_dearer_postage_is_the_studios_by_its_own_word_alone(show):
    pledge = order(show)
    close(show)
    with pytest.raises(NotReady, match="costs more than the postage"):
        correct(pledge, address=LONDON_ADDRESS)
    correct(pledge, address=LONDON_ADDRESS, bears=True)
    pledge.refresh_from_db()
    assert (pledge.postage_minor, pledge.postage_cost_minor) == (490, 820)


def test_a_country_without_a_price_or_with_another_tax_is_refused(show):
    pledge = order(show)
    close(show)
    show.postage_rates.filter(countries="*").delete()
    with pytest.raises(NotReady, match="no postage price"):
        correct(pledge, address={**HAMBURG, "country_code": "US"}, bears=True)
    set_taxes(show=show, rates=[TaxWish("VAT", ("GB",), 2000)])
    with pytest.raises(NotReady, match="Another tax"):
        correct(pledge, address=LONDON_ADDRESS, bears=True)
    pledge.refresh_from_db()
    assert pledge.address == BERLIN_ADDRESS


def test_an_order_that_has_ended_goes_nowhere(show):
    pledge = place(show)
    cancel_pledge(pledge=pledge, by_backer=False, now=LATER)
    with pytest.raises(NotInThisState):
        correct(pledge)


def test_a_correction_answers_what_was_asked_in_the_same_act(show):
    pledge = order(show)
    close(show)
    asked = ask_for_change(pledge=pledge, request_key=uuid.uuid4(), text="To Hamburg, please.", now=LATER)
    for _ in range(2):
        correct(pledge, answering=Answering(asked, "Gladly."))
    asked.refresh_from_db()
    assert (asked.state, asked.answer) == ("done", "Gladly.")
    assert mails("change_answered") == 1 and mails("address_changed") == 1


def test_a_correction_that_is_refused_answers_nothing(show):
    pledge = order(show)
    close(show)
    asked = ask_for_change(pledge=pledge, request_key=uuid.uuid4(), text="To London, please.", now=LATER)
    with pytest.raises(NotReady):
        correct(pledge, address=LONDON_ADDRESS, answering=Answering(asked, "Gladly."))
    assert ChangeRequest.objects.get().state == "asked" and not mails("change_answered")


def test_a_parcel_that_goes_elsewhere_than_its_order_is_a_difference(show):
    show_with_parcels(show)
    assert not check_parcel_addresses().difference
    Parcel.objects.filter(number=2).update(address=HAMBURG)
    assert "parcel 2 goes elsewhere" in str(check_parcel_addresses().difference)
    Parcel.objects.filter(number=2).update(address={**BERLIN_ADDRESS, "city": "BERLIN"})
    assert not check_parcel_addresses().difference
    assert edition_of(show).copies.filter(is_packed=True).count() == 3

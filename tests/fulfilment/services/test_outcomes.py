"""What became of a parcel, and sending it again with its history kept."""

import contextlib
import uuid
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from campaign.models import Copy, OutboxMessage, Paper, PostageRate
from campaign.services.pledges import cancel_pledge
from fulfilment.errors import MailerInUse, NoSuchParcel, NothingToSendAgain, OutcomeNotYet, ParcelWaitsForPrint
from fulfilment.models import Mailer, Parcel
from fulfilment.queries.outcomes import find_parcel_page
from fulfilment.queries.packing_station import copy_key, read_station
from fulfilment.queries.parcel_plan import read_packing_ground
from fulfilment.services.copy_events import spoil_copies
from fulfilment.services.outcomes import record_outcome, send_again
from fulfilment.services.packing_material import remove_mailer
from fulfilment.services.packing_station import pack_parcel
from fulfilment.services.parcel_plan import PackingWish, change_packing
from fulfilment.services.parcels import mark_posted, send_posted_notices, undo_posted
from tests.fulfilment.packed import FLAT, TUBE, set_up_packing
from tests.fulfilment.scene import LATER, edition_of, print_all, show_with_parcels

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
S10 = "RR473124829GB"
WEEKS_ON = LATER + timedelta(days=30)


@pytest.fixture
def parcel(show):
    show_with_parcels(show, orders=2)
    parcel = Parcel.objects.first()
    mark_posted(show=show, tracking={parcel.code: S10}, now=LATER)
    send_posted_notices(show=show, now=LATER)
    parcel.refresh_from_db()
    return parcel


def say(show, parcel, kind, *, key=None):
    return record_outcome(
        show=show, code=parcel.code, kind=kind, note="", request_key=key or uuid.uuid4(), by="ada", now=WEEKS_ON
    )


def again(show, parcel, *, key=None):
    return send_again(show=show, code=parcel.code, note="", request_key=key or uuid.uuid4(), by="ada", now=WEEKS_ON)


def last_line():
    out = StringIO()
    with contextlib.suppress(CommandError):
        call_command("verify", stdout=out)
    return out.getvalue().splitlines()[-1]


def test_a_second_posting_costs_what_the_table_of_its_day_says(show, parcel):
    assert parcel.postage_minor == 450
    PostageRate.objects.create(
        show=show, zone="Germany", countries="DE", up_to_copies=3, charge_minor=590, cost_minor=560,
        valid_from_on=WEEKS_ON.date(),
    )  # fmt: skip
    say(show, parcel, "returned")
    assert again(show, parcel).postage_minor == 560
    assert not Paper.objects.exists()  # they are made again; a customs note bears the postage
    assert last_line() == "All figures agree with their rows."


def test_a_second_posting_at_the_same_price_keeps_its_papers(show, parcel):
    before = set(Paper.objects.values_list("code", flat=True))
    say(show, parcel, "returned")
    again(show, parcel)
    assert before and set(Paper.objects.values_list("code", flat=True)) == before


@pytest.mark.parametrize("kind", ["delivered", "returned", "damaged", "lost"])
def test_each_outcome_is_a_row_with_what_can_follow(show, parcel, kind):
    key = uuid.uuid4()
    assert say(show, parcel, kind, key=key) == say(show, parcel, kind, key=key)
    page = find_parcel_page(show_pk=show.pk, code=parcel.code)
    assert [event.kind for event in page.events] == ["posted", kind]
    assert page.can_be_sent_again == (kind != "delivered")
    assert page.next_words


def test_nothing_becomes_of_a_parcel_that_is_not_posted(show, parcel):
    with pytest.raises(OutcomeNotYet):
        say(show, Parcel.objects.last(), "lost")
    with pytest.raises(NoSuchParcel):
        record_outcome(show=show, code="NOSUCH", kind="lost", note="", request_key=uuid.uuid4(), by="", now=LATER)


def test_what_came_back_goes_out_again_and_is_told_of_again(show, parcel):
    with pytest.raises(NothingToSendAgain):
        again(show, parcel)
    say(show, parcel, "returned")
    key = uuid.uuid4()
    again(show, parcel, key=key)
    assert again(show, parcel, key=key).posting == 2
    assert not Copy.objects.get(parcel_copy__parcel=parcel).is_posted
    assert last_line() == "All figures agree with their rows."
    mark_posted(show=show, tracking={parcel.code: "SECOND1"}, now=WEEKS_ON)
    send_posted_notices(show=show, now=WEEKS_ON)
    keys = list(OutboxMessage.objects.filter(name="parcel_posted").order_by("pk").values_list("key", flat=True))
    assert keys == [f"parcel_posted:{parcel.code}", f"parcel_posted:{parcel.code}:2"]
    history = [(event.kind, event.posting, event.tracking_number) for event in parcel.events.all()]
    assert history == [
        ("posted", 1, S10), ("returned", 1, S10), ("sent_again", 1, S10), ("posted", 2, "SECOND1"),
    ]  # fmt: skip
    page = find_parcel_page(show_pk=show.pk, code=parcel.code)
    assert page.outcome is None
    assert last_line() == "All figures agree with their rows."


def test_a_lost_print_waits_until_it_is_printed_again(show, parcel):
    say(show, parcel, "lost")
    again(show, parcel)
    copy = Copy.objects.select_related("edition").get(parcel_copy__parcel=parcel)
    spoil_copies(
        edition=edition_of(show), numbers=[copy.number], note="lost", by="ada", request_key=uuid.uuid4(), now=WEEKS_ON
    )
    act = {"show": show, "code": parcel.code, "confirmed": [copy_key(copy)], "by": "kim", "now": WEEKS_ON}
    assert "is to be printed again" in read_station(show, now=WEEKS_ON).parcels[0].said
    with pytest.raises(ParcelWaitsForPrint):
        pack_parcel(request_key=uuid.uuid4(), **act)
    with pytest.raises(ParcelWaitsForPrint):
        mark_posted(show=show, tracking={parcel.code: ""}, now=WEEKS_ON)
    print_all(show)
    assert pack_parcel(request_key=uuid.uuid4(), **act).number == 1


def left(show):
    """How many of each mailer no parcel has, by name."""
    ground = read_packing_ground(show, today=WEEKS_ON.date())
    return {mailer.name: ground.left[mailer.pk] for mailer in ground.mailers}


def test_each_posting_uses_up_what_it_left_in(show):
    flat, tube = FLAT["name"], TUBE["name"]
    set_up_packing(show, mailers=(FLAT, TUBE), least_tube_mm=60)
    show_with_parcels(show, orders=1)
    parcel = Parcel.objects.get()
    assert parcel.mailer.name == flat and left(show) == {flat: 29, tube: 5}
    for _ in range(2):  # a mark that was taken back is no posting
        mark_posted(show=show, tracking={parcel.code: ""}, now=LATER)
        undo_posted(show=show, codes=frozenset([parcel.code]), now=LATER)
    mark_posted(show=show, tracking={parcel.code: ""}, now=LATER)
    say(show, parcel, "returned")
    again(show, parcel)
    assert left(show) == {flat: 28, tube: 5}
    wish = PackingWish(mailer_code=Mailer.objects.get(name=tube).code)
    change_packing(show=show, code=parcel.code, wish=wish, by="ada", now=WEEKS_ON)
    assert left(show) == {flat: 29, tube: 4}, "the first is gone for good, the second is not needed"
    with pytest.raises(MailerInUse):
        remove_mailer(mailer=Mailer.objects.get(name=flat))
    cancel_pledge(pledge=parcel.parcel_copies.get().copy.pledge, by_backer=False, now=WEEKS_ON)
    assert left(show) == {flat: 29, tube: 5}, "nobody gets it any more, and still one has left"

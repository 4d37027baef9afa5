import pytest

from campaign.errors import NotInThisState
from campaign.models import Copy, Job, Show
from campaign.services.payments import record_payment
from campaign.services.pledges import cancel_pledge
from fulfilment.errors import AddressesUnfit, CopiesNotPrinted, CopiesNotSpokenFor, CopiesPacked
from fulfilment.models import Impression, Parcel
from fulfilment.queries.production import list_unprinted, read_ready_copies, read_sheets
from fulfilment.services.production import end_printing, tick_printed, untick_printed
from tests.builders import LONDON_ADDRESS, NOW, pay, place
from tests.fulfilment.scene import LATER, close, edition_of, end, numbers_of, order, print_all, printed_show, work

pytestmark = pytest.mark.usefixtures("engine")


def test_paid_copies_are_marked_as_printed(show):
    order(show, copies=2)
    assert tick_printed(edition=edition_of(show), numbers=[1, 2], now=NOW) == 2
    assert list(Impression.objects.values_list("copy__number", flat=True)) == [1, 2]


def test_marking_twice_keeps_the_first_moment(show):
    order(show)
    tick_printed(edition=edition_of(show), numbers=[1], now=NOW)
    assert tick_printed(edition=edition_of(show), numbers=[1], now=LATER) == 0
    assert Impression.objects.get().printed_at == NOW


def test_a_free_and_a_held_copy_cannot_be_marked_and_nothing_else_is(show):
    order(show)
    place(show)  # copy 2, not paid
    with pytest.raises(CopiesNotSpokenFor) as caught:
        tick_printed(edition=edition_of(show), numbers=[1, 2, 3], now=NOW)
    assert caught.value.numbers == (2, 3)
    assert "Copies 2, 3 are not spoken for" in caught.value.sentence
    assert not Impression.objects.exists()


def test_a_mark_can_be_taken_back_until_there_is_a_parcel(show):
    printed_show(show, orders=2)
    assert untick_printed(edition=edition_of(show), numbers=[2], now=LATER) == 1
    assert untick_printed(edition=edition_of(show), numbers=[2], now=LATER) == 0
    print_all(show)
    work(end(show))
    with pytest.raises(CopiesPacked) as caught:
        untick_printed(edition=edition_of(show), numbers=[1, 2], now=LATER)
    assert caught.value.numbers == (1, 2)
    assert Impression.objects.count() == 2


def test_sheets_list_who_has_which_copy(show):
    order(show, name="Erika Beispiel")
    place(show)
    tick_printed(edition=edition_of(show), numbers=[1], now=NOW)
    order(show, name="Jo Sample")
    (sheet,) = read_sheets(show)
    assert [(line.number, line.name, line.printed_at) for line in sheet.lines] == [
        (1, "Erika Beispiel", NOW),
        (3, "Jo Sample", None),
    ]
    assert (sheet.printed, len(sheet.to_print), sheet.held) == (1, 1, 1)


def test_sheets_need_three_queries_however_many_copies(show, django_assert_num_queries):
    printed_show(show, orders=5)
    with django_assert_num_queries(3):
        read_sheets(show)


def test_printing_cannot_end_while_orders_are_taken(show):
    order(show)
    print_all(show)
    with pytest.raises(NotInThisState):
        end_printing(show=show, now=NOW)


def test_printing_ends_only_when_every_paid_copy_is_printed(show):
    order(show, copies=3)
    close(show)
    tick_printed(edition=edition_of(show), numbers=[2], now=LATER)
    with pytest.raises(CopiesNotPrinted) as caught:
        end_printing(show=show, now=LATER)
    assert caught.value.names == ("1/20", "3/20")
    assert caught.value.sentence == "2 copies are not printed yet: 1/20, 3/20. Mark them as printed first."
    show.refresh_from_db()
    assert show.state == Show.State.CLOSED
    assert not Job.objects.exists()


def test_many_missing_copies_are_counted_and_the_first_named(show):
    for _ in range(4):
        order(show, copies=3)
    close(show)
    with pytest.raises(CopiesNotPrinted) as caught:
        end_printing(show=show, now=LATER)
    assert "12 copies are not printed yet: 1/20, 2/20" in caught.value.sentence
    assert "8/20 and 4 more" in caught.value.sentence


def test_an_address_from_which_no_label_can_be_made_stops_the_end_of_printing(show):
    bad = order(show)
    bad.address = {"country_code": "DE", "city": "Berlin"}
    bad.save(update_fields=["address"])
    order(show)
    close(show)
    print_all(show)
    with pytest.raises(AddressesUnfit) as caught:
        end_printing(show=show, now=LATER)
    assert caught.value.codes == (bad.code,)
    assert show.state == Show.State.CLOSED


def test_ending_printing_fixes_the_show_and_leaves_a_job(show):
    printed_show(show, orders=3)
    job = end(show)
    assert show.state == Show.State.PRINTED
    assert (job.kind, job.key, job.total, job.state) == ("papers", "papers:tideline", 3, Job.State.WAITING)
    assert job.title == "Slips and labels for 3 parcels"
    assert not Parcel.objects.exists()


def test_ending_printing_twice_is_one_job(show):
    printed_show(show)
    first = end(show)
    assert end(show) == first
    work(first)
    assert end(show) == first
    assert Job.objects.count() == 1


def test_printing_ends_even_if_nothing_was_ordered(show):
    close(show)
    job = end(show)
    assert job.total == 0
    assert work(job) == "done"


def test_an_order_paid_after_the_end_of_printing_gets_a_late_parcel(show):
    printed_show(show, orders=2)
    waiting = _held_order(show)
    first = end(show)
    work(first)
    _pay_late(waiting)
    assert list_unprinted(show) == ("3/20",)
    with pytest.raises(CopiesNotPrinted):
        end_printing(show=show, now=LATER)
    print_all(show)
    second = end(show)
    assert (second.key, second.total) == ("papers:tideline:2", 1)
    work(second)
    assert list(Parcel.objects.values_list("number", "job__key")) == [
        (1, "papers:tideline"),
        (2, "papers:tideline"),
        (3, "papers:tideline:2"),
    ]


def _held_order(show):
    """An order placed while orders were taken and not paid; only the state of the show is turned back for it."""
    Show.objects.filter(pk=show.pk).update(state=Show.State.OPEN, closed_at=None)
    pledge = place(show, address=LONDON_ADDRESS)
    Show.objects.filter(pk=show.pk).update(state=Show.State.CLOSED, closed_at=LATER)
    return pledge


def _pay_late(pledge):
    record_payment(
        pledge=pledge, key="late", amount_minor=pledge.total_minor, fee_minor=0, way="transfer",
        happened_on=LATER.date(), now=LATER,
    )  # fmt: skip


def test_a_cancelled_order_needs_no_print_and_gets_no_parcel(show):
    printed_show(show, orders=2)
    gone = order_of(show, number=1)
    cancel_pledge(pledge=gone, by_backer=False, now=LATER)
    assert [copy.number for copy in read_ready_copies(show)] == [2]
    assert numbers_of(show) == [2]
    work(end(show))
    assert Parcel.objects.count() == 1


def order_of(show, *, number):
    return Copy.objects.get(edition__show=show, number=number).pledge


def test_a_gift_without_a_print_has_nothing_to_print(show):
    pay(place(show, copies=0))
    close(show)
    assert read_sheets(show)[0].lines == ()
    assert end(show).total == 0

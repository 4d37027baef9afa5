from datetime import timedelta

import pytest

from campaign import outbox
from campaign.errors import NotReady
from campaign.models import Copy, Job, OutboxMessage, free_to_take
from campaign.queries.jobs import read_job
from campaign.services.batches import follow_batches
from campaign.services.payments import Outcome
from campaign.services.pledges import cancel_pledge, lapse_due_holds
from campaign.services.updates import call_off_batch
from fulfilment.errors import NoticeAlreadySent, ParcelEmpty, TrackingNumberWrong
from fulfilment.models import Parcel, ParcelCopy
from fulfilment.queries.parcels import read_send
from fulfilment.services.checks import check_parcel_copies, check_parcels
from fulfilment.services.parcels import (
    GRACE,
    call_off_notices,
    mark_posted,
    send_posted_notices,
    take_out_cancelled,
    undo_posted,
)
from tests.builders import BERLIN_ADDRESS, make_draft, make_show, pay, place
from tests.fulfilment.scene import LATER, close, end, order, print_all, show_with_parcels, work

pytestmark = pytest.mark.usefixtures("engine")
S10 = "RR473124829GB"


@pytest.fixture
def parcels(show):
    """Three numbered parcels, one copy each."""
    show_with_parcels(show)
    return list(Parcel.objects.all())


def states():
    return list(Parcel.objects.values_list("state", flat=True))


def post(show, *parcels, numbers=None, now=LATER):
    return mark_posted(show=show, tracking={p.code: (numbers or {}).get(p.number, "") for p in parcels}, now=now)


def test_several_parcels_are_posted_at_once_with_and_without_number(show, parcels):
    assert post(show, *parcels[:2], numbers={1: " rr 473124829 gb"}) == 2
    assert list(Parcel.objects.values_list("state", "tracking_number", "posted_at")) == [
        ("posted", S10, LATER),
        ("posted", "", LATER),
        ("to_pack", "", None),
    ]


def test_posting_twice_keeps_the_first_moment(show, parcels):
    post(show, parcels[0])
    assert post(show, parcels[0], now=LATER + timedelta(days=1)) == 0
    assert Parcel.objects.first().posted_at == LATER


def test_a_mistyped_number_records_nothing_at_all(show, parcels):
    with pytest.raises(TrackingNumberWrong) as caught:
        post(show, *parcels, numbers={3: "RR473124828GB"})
    assert caught.value.parcel_number == 3
    assert "Parcel 3: RR473124828GB has a mistyped character" in caught.value.sentence
    assert states() == ["to_pack"] * 3


def test_a_number_can_be_added_or_changed_until_the_notice_is_sent(show, parcels):
    post(show, parcels[0])
    assert post(show, parcels[0], numbers={1: S10}) == 0
    assert Parcel.objects.first().tracking_number == S10
    send_posted_notices(show=show, now=LATER)
    with pytest.raises(NoticeAlreadySent):
        post(show, parcels[0], numbers={1: "OTHER1"})
    assert post(show, parcels[0], numbers={1: S10}) == 0  # the same again is no change


def test_a_parcel_of_another_show_is_not_touched(show, parcels):
    other = make_draft(code="other")
    assert mark_posted(show=other, tracking={parcels[0].code: ""}, now=LATER) == 0
    assert states() == ["to_pack"] * 3


def test_a_mark_can_be_taken_back_until_the_notice_is_sent(show, parcels):
    post(show, *parcels, numbers={1: S10})
    codes = frozenset(parcel.code for parcel in parcels[:2])
    assert undo_posted(show=show, codes=codes, now=LATER) == 2
    assert undo_posted(show=show, codes=codes, now=LATER) == 0
    assert states() == ["to_pack", "to_pack", "posted"]
    assert Parcel.objects.first().tracking_number == ""
    send_posted_notices(show=show, now=LATER)
    with pytest.raises(NoticeAlreadySent) as caught:
        undo_posted(show=show, codes=frozenset(parcel.code for parcel in parcels), now=LATER)
    assert caught.value.parcel_number == 3


def order_in(parcel):
    return Copy.objects.filter(parcel_copy__parcel=parcel).first().pledge


def test_a_parcel_whose_order_was_cancelled_cannot_be_posted(show, parcels):
    cancel_pledge(pledge=order_in(parcels[0]), by_backer=False, now=LATER)
    with pytest.raises(ParcelEmpty) as caught:
        post(show, *parcels)
    assert caught.value.parcel_number == 1
    assert ParcelCopy.objects.count() == 3
    assert post(show, *parcels[1:]) == 2


def test_a_cancelled_copy_is_taken_out_of_a_shared_parcel(show):
    same = {"name": "Erika Beispiel", "email": "erika@example.org", "address": BERLIN_ADDRESS}
    gone, kept = order(show, **same), order(show, **same)
    close(show)
    print_all(show)
    work(end(show))
    cancel_pledge(pledge=gone, by_backer=False, now=LATER)
    parcel = Parcel.objects.get()
    assert post(show, parcel) == 1
    assert [row.copy.pledge for row in parcel.parcel_copies.all()] == [kept]


def test_notices_go_out_in_one_batch_for_posted_parcels_only(show, parcels):
    post(show, *parcels[:2], numbers={1: S10})
    job = send_posted_notices(show=show, now=LATER)
    assert (job.kind, job.total, job.title) == ("notices", 2, "Notice that 2 parcels are posted")
    messages = OutboxMessage.objects.filter(batch=job)
    assert sorted(message.recipient for message in messages) == sorted(parcel.email for parcel in parcels[:2])
    assert {(message.kind, message.name, message.due_at) for message in messages} == {
        ("transactional", "parcel_posted", LATER + GRACE)
    }
    assert list(Parcel.objects.values_list("noticed_at", flat=True)) == [LATER, LATER, None]


def test_a_second_click_sends_nothing_twice(show, parcels):
    post(show, *parcels[:2])
    first = send_posted_notices(show=show, now=LATER)
    assert send_posted_notices(show=show, now=LATER) == first
    assert OutboxMessage.objects.filter(name="parcel_posted").count() == 2


def test_the_next_batch_tells_only_those_posted_since(show, parcels):
    post(show, parcels[0])
    first = send_posted_notices(show=show, now=LATER)
    post(show, *parcels)
    second = send_posted_notices(show=show, now=LATER)
    assert second != first
    assert second.total == 2
    assert OutboxMessage.objects.filter(name="parcel_posted").count() == 3


def test_nothing_to_tell_is_a_sentence(show, parcels):
    with pytest.raises(NotReady):
        send_posted_notices(show=show, now=LATER)
    assert not Job.objects.filter(kind="notices").exists()


def test_the_mail_says_what_is_in_the_parcel_and_where_it_goes(show, parcels):
    post(show, parcels[0], numbers={1: S10})
    send_posted_notices(show=show, now=LATER)
    message = OutboxMessage.objects.get(name="parcel_posted")
    pledge = order_in(parcels[0])
    assert message.subject == "Posted: your print of Tideline"
    for words in (pledge.name, "Musterweg 12", "10115 Berlin", "Harbour light", S10, pledge.code, "9 April 2026"):
        assert words in message.text
        assert words in message.html
    number = Copy.objects.get(pledge=pledge).number
    assert f"{number}/20" in message.text
    assert "/m/" in message.text


def test_a_mail_about_a_parcel_without_number_does_not_speak_of_one(show, parcels):
    post(show, parcels[0])
    send_posted_notices(show=show, now=LATER)
    message = OutboxMessage.objects.get(name="parcel_posted")
    assert "Tracking" not in message.text + message.html


@pytest.mark.parametrize(
    ("is_tube", "said", "not_said"),
    [(True, "rolled in a tube", "flat between boards"), (False, "flat between boards", "roll")],
    ids=["tube", "flat"],
)
def test_the_mail_says_how_the_print_travels(show, parcels, is_tube, said, not_said):
    Parcel.objects.filter(pk=parcels[0].pk).update(is_tube=is_tube)
    post(show, parcels[0])
    send_posted_notices(show=show, now=LATER)
    message = OutboxMessage.objects.get(name="parcel_posted")
    for body in (message.text, message.html):
        assert said in body and not_said not in body


def test_an_order_cancelled_after_its_parcel_left_still_gets_its_notice(show, parcels):
    post(show, parcels[0])
    cancel_pledge(pledge=order_in(parcels[0]), by_backer=False, now=LATER)
    send_posted_notices(show=show, now=LATER)
    assert "/show/tideline/" in OutboxMessage.objects.get(name="parcel_posted").text


def test_the_batch_is_done_when_its_mails_are_out(show, parcels, mailoutbox):
    OutboxMessage.objects.exclude(name="parcel_posted").delete()
    post(show, *parcels)
    job = send_posted_notices(show=show, now=LATER)
    outbox.deliver_due(now=LATER)
    follow_batches(now=LATER)
    job.refresh_from_db()
    assert (job.state, job.done) == (Job.State.WAITING, 0)
    outbox.deliver_due(now=LATER + GRACE)
    follow_batches(now=LATER + GRACE)
    job.refresh_from_db()
    assert (job.state, job.done) == (Job.State.DONE, 3)
    assert len(mailoutbox) == 3


def test_notices_are_called_off_within_their_minute_and_never_after(show, parcels):
    post(show, parcels[0])
    job = send_posted_notices(show=show, now=LATER)
    assert read_job(job, now=LATER).can_be_called_off
    assert call_off_batch(job=job, now=LATER) == 0  # that is for news
    assert call_off_notices(job=job, now=LATER) == 1
    assert call_off_notices(job=job, now=LATER) == 0
    assert not OutboxMessage.objects.filter(name="parcel_posted").exists()
    again = send_posted_notices(show=show, now=LATER)
    assert again != job
    assert not read_job(again, now=LATER + GRACE).can_be_called_off
    assert call_off_notices(job=again, now=LATER + GRACE) == 0
    assert OutboxMessage.objects.get(name="parcel_posted").state == OutboxMessage.State.PENDING


def parcelled(show):
    """The show closed, printed, and its parcels numbered."""
    close(show)
    print_all(show)
    work(end(show))
    return list(Parcel.objects.all())


def test_a_copy_that_is_on_its_way_is_never_handed_to_somebody_else(db):
    show = make_show(copies=3)
    order(show)
    order(show)
    late = place(show)
    lapse_due_holds(now=LATER)
    first, second = parcelled(show)
    post(show, first)
    for parcel in (first, second):
        cancel_pledge(pledge=order_in(parcel), by_backer=False, now=LATER)
    assert pay(late, now=LATER).outcome == Outcome.PAID
    assert late.held_copies.get().number == 3
    assert check_parcel_copies().difference is None


def test_late_money_gets_no_copy_out_of_a_parcel(db):
    show = make_show(copies=1)
    late = place(show)
    after = late.hold_until_at + timedelta(days=1)
    lapse_due_holds(now=after)
    pay(place(show, now=after), now=after)
    [parcel] = parcelled(show)
    cancel_pledge(pledge=order_in(parcel), by_backer=False, now=LATER)
    assert pay(late, now=LATER).outcome == Outcome.OWED_BACK
    assert check_parcel_copies().difference is None


def test_a_copy_taken_out_of_its_parcel_can_be_had_again(show):
    pair = order(show, copies=2)
    other = order(show, email=pair.email, name=pair.name, address=pair.address, copies=1)
    [parcel] = parcelled(show)
    [number] = other.held_copies.values_list("number", flat=True)
    cancel_pledge(pledge=other, by_backer=False, now=LATER)
    assert Copy.objects.get(number=number).is_packed
    post(show, parcel)
    assert not Copy.objects.get(number=number).is_packed
    assert check_parcel_copies().difference is None


def test_a_parcel_that_was_cancelled_as_a_whole_is_taken_apart(show, parcels):
    first = Copy.objects.get(parcel_copy__parcel=parcels[0])
    cancel_pledge(pledge=first.pledge, by_backer=False, now=LATER)
    before = read_send(show)
    assert (before.to_take_out, before.total, before.to_pack) == (1, 2, 2)
    assert take_out_cancelled(show=show, now=LATER) == 1
    assert take_out_cancelled(show=show, now=LATER) == 0
    first.refresh_from_db()
    assert (first.state, first.is_packed, first.is_printed) == (Copy.State.FREE, False, True)
    assert Copy.objects.filter(free_to_take(), pk=first.pk).exists()
    after = read_send(show)
    assert (after.to_take_out, after.total, after.lines[0].is_void) == (0, 2, True)
    with pytest.raises(ParcelEmpty):
        post(show, parcels[0])
    assert post(show, *parcels[1:]) == 2
    assert check_parcels().difference is None and check_parcel_copies().difference is None


def test_what_is_in_a_posted_parcel_stays_in_it(show, parcels):
    post(show, *parcels)
    cancel_pledge(pledge=order_in(parcels[0]), by_backer=False, now=LATER)
    assert take_out_cancelled(show=show, now=LATER) == 0
    assert read_send(show).to_take_out == 0

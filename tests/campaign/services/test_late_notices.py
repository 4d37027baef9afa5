"""Late posting: who is told what, what an answer does, and what silence means on which day."""

import uuid
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from campaign.errors import NotInThisState, NotReady
from campaign.models import CashEntry, Copy, Job, LastStep, LateAnswer, LateNotice, OutboxMessage, Pledge, Refund
from campaign.queries.late import find_late_warning, list_notices, read_late_order
from campaign.services import checks, late_notices, pledges
from campaign.services.calling_off import call_off_show
from campaign.services.campaigns import close_campaign
from campaign.services.late_notices import answer_late_notice, call_off_late_notice, end_silent_orders
from campaign.services.show_settings import change_settings
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, pay, place
from tests.late import AGREED, BOSTON_ADDRESS, LONG, REASON, SHORT, TOLD, post, send

pytestmark = pytest.mark.django_db


def berlin(day, hour=0, minute=0, month=8):
    """An instant of Berlin's summer."""
    return datetime(2026, month, day, hour, minute, tzinfo=UTC) - timedelta(hours=2)


def ordered(show, address=BOSTON_ADDRESS, **changes):
    """A paid order."""
    pledge = place(show, address=dict(address), **changes)
    pay(pledge)
    pledge.refresh_from_db()
    return pledge


def answer(pledge, word, *, number=1, now=TOLD):
    return answer_late_notice(pledge=pledge, number=number, word=word, now=now)


def state_of(pledge):
    return Pledge.objects.get(pk=pledge.pk).state


def words_for(pledge, name="late_notice"):
    """Text of the newest such mail about an order."""
    return OutboxMessage.objects.filter(key__startswith=f"{name}:{pledge.code}").latest("pk").text


@pytest.fixture
def closed(show):
    """Orders are closed; builders add to it before the close, so a test places its orders first."""

    def close():
        close_campaign(show=show, now=NOW + timedelta(days=30))
        show.refresh_from_db()
        return show

    return close


# who is told


def test_every_live_order_that_waits_is_told_once_after_a_minute(show):
    paid, held, posted = ordered(show), place(show), ordered(show)
    gone, gift = place(show), place(show, copies=0)
    pledges.cancel_pledge(pledge=gone, by_backer=False, now=NOW)
    post(posted)
    job = send(show)
    mails = list(OutboxMessage.objects.filter(batch=job))
    assert {mail.recipient for mail in mails} == {paid.email, held.email}
    assert gift.email not in {mail.recipient for mail in mails}
    assert {mail.due_at for mail in mails} == {TOLD + timedelta(seconds=60)}
    assert {mail.kind for mail in mails} == {"transactional"}  # owed to everybody, whoever wants no news
    assert (job.total, job.state) == (2, Job.State.WAITING)


def test_who_agreed_to_that_day_or_a_later_one_is_not_late(show):
    early = ordered(show)
    change_settings(show=show, values={"posting_by_on": date(2026, 9, 30)})
    show.refresh_from_db()
    late = ordered(show)
    send(show, new_on=LONG)
    assert OutboxMessage.objects.filter(name="late_notice").values_list("recipient", flat=True).get() == early.email
    assert state_of(late) == "paid"


def test_the_show_states_the_new_day_and_the_order_keeps_what_was_agreed(show):
    pledge = ordered(show)
    LastStep.objects.create(show=show, words="w", before={"rows": {}}, inputs_version=show.inputs_version)
    send(show)
    show.refresh_from_db()
    pledge.refresh_from_db()
    assert (show.posting_by_on, pledge.posting_by_on) == (LONG, AGREED)
    assert not LastStep.objects.exists()
    notice = LateNotice.objects.get()
    assert (notice.old_on, notice.new_on, notice.number) == (AGREED, LONG, 1)


def test_a_second_click_finds_the_same_batch(show):
    ordered(show)
    key = uuid.uuid4()
    assert send(show, key=key) == send(show, key=key)
    assert LateNotice.objects.count() == OutboxMessage.objects.filter(name="late_notice").count() == 1


def test_who_ordered_while_the_letters_were_written_is_told_too(show, monkeypatch):
    ordered(show)
    real, late = late_notices._send, []

    def slow(**parts):
        late.append(ordered(show))
        return real(**parts)

    monkeypatch.setattr(late_notices, "_send", slow)
    assert send(show).total == 2
    assert words_for(late[0])


@pytest.mark.parametrize("new_on", [date(2026, 7, 19), AGREED, None], ids=["past", "nobody is late by it", "no day"])
def test_a_notice_that_helps_nobody_is_refused(show, new_on):
    ordered(show)
    with pytest.raises(NotReady):
        send(show, new_on=new_on)
    assert not LateNotice.objects.exists()
    assert not OutboxMessage.objects.filter(name="late_notice").exists()


def test_a_show_that_is_called_off_sends_no_notice(show):
    ordered(show)
    call_off_show(show=show, words="No room.", now=NOW)
    with pytest.raises(NotInThisState):
        send(show)


def test_within_the_minute_it_is_called_off_and_the_old_day_holds(show):
    ordered(show)
    job = send(show)
    assert call_off_late_notice(job=job, now=TOLD + timedelta(seconds=59)) == 1
    assert call_off_late_notice(job=job, now=TOLD + timedelta(seconds=59)) == 0
    show.refresh_from_db()
    assert show.posting_by_on == AGREED
    assert not LateNotice.objects.exists()
    assert not OutboxMessage.objects.filter(name="late_notice").exists()
    assert Job.objects.get(pk=job.pk).state == Job.State.CANCELLED
    assert send(show).total == 1  # and may be written anew
    assert LateNotice.objects.get().number == 1


def test_after_the_minute_it_stands(show):
    ordered(show)
    job = send(show)
    assert call_off_late_notice(job=job, now=TOLD + timedelta(seconds=60)) == 0
    assert LateNotice.objects.exists()


# what the mail says


def test_the_mail_carries_what_the_rule_asks(show):
    pledge = ordered(show)
    send(show)
    words = words_for(pledge)
    for part in (
        "was to be posted by 31 July 2026",
        "The new day is 31 August 2026",
        REASON,
        "all that you paid back, postage included",
        "within seven working days",
        "it costs nothing",
        "/m/",
        "you may still cancel until the print is posted",
        "the order ends with 30 August 2026",
    ):
        assert part in words, part
    html = OutboxMessage.objects.get(name="late_notice").html
    assert "damp &amp; was" in html and "damp & was" not in html


def test_without_a_day_it_says_so_and_that_waiting_can_be_taken_back(show, closed):
    pledge = ordered(show)
    closed()
    send(show, new_on=None)
    words = words_for(pledge)
    assert "No new day can be given now." in words
    assert "you can take that back at any time before it is posted" in words
    assert REASON in words
    assert "the order ends with 30 August 2026" in words
    show.refresh_from_db()
    assert show.posting_by_on == AGREED


@pytest.mark.parametrize("address", [BERLIN_ADDRESS, LONDON_ADDRESS], ids=["EU", "UK"])
def test_elsewhere_the_mail_says_that_the_order_stays(show, address):
    pledge = ordered(show, address=address)
    send(show)
    words = words_for(pledge)
    assert "the order stays as it is" in words and "within 14 days" in words
    assert "Please answer by 3 August 2026" in words


def test_a_short_delay_says_that_silence_agrees(show):
    pledge = ordered(show)
    send(show, new_on=SHORT)
    assert "that counts as agreeing to the new day" in words_for(pledge)


def test_an_unpaid_order_owes_nothing_if_it_is_cancelled(show):
    pledge = place(show)
    send(show)
    assert "cancel, and owe nothing" in words_for(pledge)


# answering


def test_waiting_for_a_day_makes_it_the_day_agreed_to(show):
    pledge = ordered(show)
    send(show)
    answer(pledge, "wait")
    answer(pledge, "wait")
    pledge.refresh_from_db()
    assert (pledge.posting_by_on, pledge.state) == (LONG, "paid")
    assert LateAnswer.objects.get().word == "wait"


def test_cancelling_frees_the_copies_owes_the_money_and_tells_once(show):
    pledge = ordered(show, copies=2)
    send(show)
    close_day = show.cancel_until_on
    assert close_day < TOLD.date()  # the usual cut-off is long past
    answer(pledge, "cancel")
    answer(pledge, "cancel")
    assert state_of(pledge) == "cancelled"
    assert not Copy.objects.filter(pledge=pledge).exists()
    assert Refund.objects.get().amount_minor == pledge.total_minor
    assert OutboxMessage.objects.filter(name="late_cancelled").count() == 1
    assert OutboxMessage.objects.filter(name="pledge_cancelled").count() == 0
    words = words_for(pledge, "late_cancelled")
    assert "as you asked" in words and "by 29 July 2026 at the latest" in words  # seven working days from 20 July
    assert all(check().difference is None for check in checks.CHECKS)


def test_waiting_may_become_cancelling_until_it_is_posted(show):
    first, second = ordered(show), ordered(show)
    send(show)
    for pledge in (first, second):
        answer(pledge, "wait")
    answer(first, "cancel")
    assert state_of(first) == "cancelled"
    post(second)
    with pytest.raises(NotReady):
        answer(second, "cancel")
    assert state_of(second) == "paid"
    assert LateAnswer.objects.get(pledge=second).word == "wait"


def test_after_cancelling_there_is_no_way_back(show):
    pledge = ordered(show)
    send(show)
    answer(pledge, "cancel")
    with pytest.raises(NotInThisState):
        answer(pledge, "wait")


def test_an_order_of_which_a_part_is_posted_is_settled_by_hand(show):
    pledge = ordered(show, copies=2)
    send(show)
    post(pledge, numbers=[1])
    with pytest.raises(NotReady):
        answer(pledge, "cancel")
    assert end_silent_orders(now=TOLD + timedelta(days=100)) == 0
    assert state_of(pledge) == "paid"


def test_nobody_answers_what_was_never_asked_or_is_old(show):
    pledge = ordered(show)
    with pytest.raises(NotReady):
        answer(pledge, "wait")
    send(show)
    send(show, new_on=date(2026, 10, 1), now=TOLD + timedelta(days=5))
    with pytest.raises(NotReady):
        answer(pledge, "wait", number=1)
    assert answer(pledge, "wait", number=2)


# silence


@pytest.mark.parametrize("new_on", [LONG, None], ids=["more than thirty days", "no day"])
def test_silence_cancels_when_the_thirtieth_day_is_over(show, closed, new_on):
    pledge = ordered(show)
    closed()
    send(show, new_on=new_on)
    assert end_silent_orders(now=berlin(30, 23, 59)) == 0
    assert state_of(pledge) == "paid"
    assert end_silent_orders(now=berlin(31)) == 1
    assert end_silent_orders(now=berlin(31, 1)) == 0
    assert state_of(pledge) == "cancelled"
    assert Refund.objects.get().amount_minor == pledge.total_minor
    assert "no answer came by then" in words_for(pledge, "late_cancelled")
    assert OutboxMessage.objects.filter(name="late_cancelled").count() == 1
    assert LateNotice.objects.get().silent_end_on is None
    assert all(check().difference is None for check in checks.CHECKS)


@pytest.mark.parametrize("state", ["stuck", "pending", "paused"])
def test_silence_of_somebody_whom_the_notice_did_not_reach_cancels_nothing(show, closed, state):
    ordered(show)
    closed()
    send(show, new_on=None)
    mine = OutboxMessage.objects.filter(name="late_notice")
    mine.update(state=state, attempts=3)
    assert end_silent_orders(now=berlin(31)) == 0
    mine.update(state="sent", sent_at=berlin(30))  # at last
    assert end_silent_orders(now=berlin(5, month=9)) == 0
    assert end_silent_orders(now=berlin(7, month=9)) == 1


@pytest.mark.parametrize(
    ("address", "new_on"),
    [(BOSTON_ADDRESS, SHORT), (BERLIN_ADDRESS, LONG), (LONDON_ADDRESS, LONG)],
    ids=["US, thirty days", "EU", "UK"],
)
def test_where_silence_cancels_nothing_the_order_stays(show, address, new_on):
    pledge = ordered(show, address=address)
    send(show, new_on=new_on)
    assert end_silent_orders(now=TOLD + timedelta(days=400)) == 0
    pledge.refresh_from_db()
    assert (pledge.state, pledge.posting_by_on) == ("paid", AGREED)


def test_silence_on_a_second_notice_cancels_by_the_day_given_before(show):
    pledge = ordered(show)
    send(show, new_on=SHORT)
    again = datetime(2026, 8, 20, 10, 0, tzinfo=UTC)
    send(show, new_on=date(2026, 9, 5), now=again)
    words = words_for(pledge)
    assert "is late once more" in words and "30 August 2026, the day you were told last" in words
    assert "the order ends with 30 August 2026" in words and "because it was late before" in words
    assert end_silent_orders(now=berlin(30, 23, 59)) == 0
    assert end_silent_orders(now=berlin(31)) == 1
    assert state_of(pledge) == "cancelled"


def test_saying_to_wait_for_the_second_answers_the_first_too(show):
    pledge = ordered(show)
    send(show)
    send(show, new_on=date(2026, 9, 30), now=TOLD + timedelta(days=5))
    assert read_late_order(pledge).silent_end_on == date(2026, 8, 30)  # the first one still runs
    assert "the order ends with 30 August 2026" in words_for(pledge)
    assert "the notice before this one said so" in words_for(pledge)
    answer(pledge, "wait", number=2)
    assert end_silent_orders(now=TOLD + timedelta(days=400)) == 0
    assert state_of(pledge) == "paid"


def test_waiting_for_the_first_is_no_answer_to_the_second(show):
    pledge = ordered(show)
    send(show)
    answer(pledge, "wait")
    send(show, new_on=date(2026, 9, 30), now=datetime(2026, 8, 24, 10, 0, tzinfo=UTC))
    assert end_silent_orders(now=datetime(2026, 8, 31, 21, 59, tzinfo=UTC)) == 0
    assert end_silent_orders(now=datetime(2026, 8, 31, 22, 0, tzinfo=UTC)) == 1  # Berlin's first of September
    assert state_of(pledge) == "cancelled"


def test_who_is_posted_or_said_to_wait_in_time_is_left_alone(show):
    posted, waits, silent = ordered(show), ordered(show), ordered(show)
    send(show)
    answer(waits, "wait", now=berlin(30, 23))
    post(posted)
    assert end_silent_orders(now=berlin(31)) == 1
    assert [state_of(one) for one in (posted, waits, silent)] == ["paid", "paid", "cancelled"]


@pytest.mark.parametrize(
    ("zone", "last_second"),
    [
        ("America/New_York", datetime(2026, 11, 3, 4, 59, 59, tzinfo=UTC)),  # after the clocks went back on the 1st
        ("Pacific/Auckland", datetime(2026, 11, 2, 10, 59, 59, tzinfo=UTC)),  # already summer there
        ("Europe/Berlin", datetime(2026, 11, 2, 22, 59, 59, tzinfo=UTC)),  # winter since 25 October
    ],
    ids=str,
)
def test_the_day_ends_at_midnight_of_the_shows_own_zone_whatever_the_clocks_do(show, zone, last_second):
    agreed = date(2026, 10, 3)  # thirty days later it is 2 November
    type(show).objects.filter(pk=show.pk).update(time_zone=zone, posting_by_on=agreed)
    show.refresh_from_db()
    pledge = ordered(show)
    send(show, new_on=date(2026, 12, 24), now=datetime(2026, 9, 20, 12, tzinfo=UTC))
    assert LateNotice.objects.get().silent_end_on == date(2026, 11, 2)
    assert end_silent_orders(now=last_second) == 0
    assert end_silent_orders(now=last_second + timedelta(seconds=1)) == 1
    assert state_of(pledge) == "cancelled"


def test_an_idle_sweep_asks_one_table(show):
    ordered(show)
    send(show)
    with CaptureQueriesContext(
        connection,
    ) as asked:
        assert end_silent_orders(now=berlin(30, 12)) == 0
    assert len(asked) == 1


def test_money_is_owed_once_however_it_ends(show):
    pledge = ordered(show)
    send(show)
    end_silent_orders(now=berlin(31))
    pledges.cancel_pledge(pledge=pledge, by_backer=False, now=berlin(31, 2))
    assert Refund.objects.count() == 1
    assert CashEntry.objects.filter(pledge=pledge).count() == 1


# what the studio sees


def test_the_studio_counts_who_waits_who_cancelled_and_who_is_silent(show):
    orders = [ordered(show) for _ in range(4)]
    send(show)
    answer(orders[0], "wait")
    answer(orders[1], "cancel")
    row = list_notices(show)[0]
    assert (row.told, row.waits, row.cancels, row.silent) == (4, 1, 1, 2)


def test_the_warning_comes_two_weeks_before_and_stays_until_everybody_is_told(show):
    ordered(show)
    assert find_late_warning(show, today_on=date(2026, 7, 16)) is None
    near = find_late_warning(show, today_on=date(2026, 7, 17))
    assert near and (near.due_on, near.orders, near.is_past, near.is_further) == (AGREED, 1, False, False)
    past = find_late_warning(show, today_on=date(2026, 8, 1))
    assert past and past.is_past
    send(show)
    show.refresh_from_db()
    assert find_late_warning(show, today_on=date(2026, 8, 1)) is None
    again = find_late_warning(show, today_on=date(2026, 8, 20))
    assert again and again.is_further and again.due_on == LONG


def test_no_warning_once_all_is_posted(show):
    post(ordered(show))
    assert find_late_warning(show, today_on=date(2026, 8, 1)) is None


def test_verify_names_an_order_that_wants_its_money_and_is_alive(show):
    pledge = ordered(show)
    send(show)
    notice = LateNotice.objects.get()
    LateAnswer.objects.create(notice=notice, pledge=pledge, word="cancel", answered_at=TOLD)
    found = checks.CHECKS[[check.__name__ for check in checks.CHECKS].index("check_late_answers")]()
    assert found.difference == f"order {pledge.code} wants the money back and is paid"

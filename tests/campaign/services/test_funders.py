"""Sponsors and grants: from the first letter to the money, and reminders of their days."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from campaign.errors import BookedOtherwise
from campaign.models import Account, CashEntry, Deadline, Funder, GiftInKind, OutboxMessage
from campaign.queries.funders import read_funders
from campaign.queries.money import read_money
from campaign.services.funders import (
    FunderWish,
    add_funder,
    change_funder,
    receive_from_funder,
    remind_of_deadlines,
    remove_funder,
)
from campaign.services.payments import correct_entry, record_other_money
from campaign.services.schedule import DeadlineWish, change_deadline, mark_deadline
from tests.builders import NOW, make_draft

TODAY = NOW.date()
WISH = {
    "kind": "sponsor",
    "state": "asked",
    "name": "Bakery Kornblum",
    "asked_minor": 20_000,
    "next_step": "send the paper",
}


@pytest.fixture
def draft(db):
    return make_draft(state="open")


def written(show, *, code="funder1", **changes):
    return add_funder(show=show, code=code, wish=FunderWish(**(WISH | changes)))


def came(funder, amount_minor=15_000, *, key="k1"):
    return receive_from_funder(
        funder=funder, key=key, amount_minor=amount_minor, happened_on=TODAY, text="", now=NOW
    )  # fmt: skip


def test_a_double_click_writes_one_row(draft):
    assert written(draft, due_on=TODAY) == written(draft, due_on=TODAY)
    assert (Funder.objects.count(), Deadline.objects.count()) == (1, 1)


def test_the_day_of_the_next_step_stands_in_the_schedule_and_moves_and_goes(draft):
    funder = written(draft, due_on=date(2026, 3, 20))
    deadline = draft.deadlines.get()
    assert (deadline.name, deadline.kind, deadline.money_minor) == (
        "Bakery Kornblum: send the paper",
        "sponsor",
        20_000,
    )
    change_funder(funder=funder, wish=FunderWish(**WISH, due_on=date(2026, 3, 25), promised_minor=9_000))
    moved = draft.deadlines.get()
    assert (moved.uid, moved.on, moved.money_minor) == (deadline.uid, date(2026, 3, 25), 9_000)
    change_funder(funder=funder, wish=FunderWish(**(WISH | {"state": "declined"}), due_on=date(2026, 3, 25)))
    assert draft.deadlines.get().is_done
    change_funder(funder=funder, wish=FunderWish(**WISH))
    assert not draft.deadlines.exists()
    assert Funder.objects.get().deadline is None


def test_money_that_comes_is_wall_money_and_books_once(draft):
    funder = written(draft)
    before = read_money(draft).in_hand.total_minor
    entry = came(funder)
    assert came(funder) == entry
    assert (entry.debit, entry.credit, entry.funder) == (Account.BANK, Account.SPONSORS, funder)
    assert read_money(draft).in_hand.total_minor == before + 15_000
    assert Funder.objects.get().state == Funder.State.PROMISED


def test_a_known_form_with_another_sum_is_refused(draft):
    funder = written(draft)
    came(funder)
    with pytest.raises(BookedOtherwise):
        came(funder, 16_000)
    assert CashEntry.objects.count() == 1


def test_a_grant_is_booked_as_a_grant_and_a_correction_takes_it_off(draft):
    grant = written(draft, kind="grant", state="promised", promised_minor=50_000)
    entry = came(grant, 50_000)
    assert entry.credit == Account.GRANTS
    assert read_funders(draft, today=TODAY).received_minor == 50_000
    correct_entry(entry=entry, reason="wrong show", now=NOW)
    assert read_funders(draft, today=TODAY).received_minor == 0
    assert read_money(draft).in_hand.total_minor == 0


def test_the_list_begins_with_whose_day_comes_next_and_says_what_is_past(draft):
    written(draft, code="a", name="Aldous Ltd")
    written(draft, code="b", name="Brewery", due_on=date(2026, 4, 1))
    written(draft, code="c", name="City", due_on=date(2026, 3, 1))
    page = read_funders(draft, today=TODAY)
    assert [(line.funder.name, line.is_past) for line in page.lines] == [
        ("City", True), ("Brewery", False), ("Aldous Ltd", False),
    ]  # fmt: skip
    assert page.asked_minor == 60_000


def test_one_with_money_stays_and_another_goes_with_its_day(draft):
    paid, idle = written(draft, code="a", due_on=TODAY), written(draft, code="b", name="Brewery", due_on=TODAY)
    came(paid)
    assert remove_funder(funder=paid) is False
    assert remove_funder(funder=idle) is True
    assert remove_funder(funder=idle) is True
    assert list(Funder.objects.all()) == [paid]
    assert Deadline.objects.count() == 1


def reminders():
    return list(OutboxMessage.objects.filter(name="deadline_near").order_by("pk"))


def test_one_reminder_so_many_days_before(draft):
    written(draft, due_on=TODAY + timedelta(days=10), remind_days=7)
    assert remind_of_deadlines(now=NOW) == 0
    assert remind_of_deadlines(now=NOW + timedelta(days=3)) == 1
    assert remind_of_deadlines(now=NOW + timedelta(days=4)) == 0
    (mail,) = reminders()
    assert mail.recipient == "studio@example.org"
    assert mail.subject == "In 7 days: Bakery Kornblum: send the paper"
    assert "20 March 2026" in mail.text


def test_a_day_that_moves_is_reminded_of_again(draft):
    funder = written(draft, due_on=TODAY, remind_days=0)
    assert remind_of_deadlines(now=NOW) == 1
    change_funder(funder=funder, wish=FunderWish(**WISH, due_on=TODAY + timedelta(days=1), remind_days=1))
    assert remind_of_deadlines(now=NOW) == 1
    deadline = draft.deadlines.get()
    change_deadline(deadline=deadline, wish=DeadlineWish("sponsor", "x", TODAY + timedelta(days=1)))
    assert remind_of_deadlines(now=NOW) == 0
    change_deadline(deadline=deadline, wish=DeadlineWish("sponsor", "x", TODAY))
    assert remind_of_deadlines(now=NOW) == 1
    assert [mail.subject.partition(":")[0] for mail in reminders()] == ["Today", "Tomorrow", "Today"][
        : len(reminders())
    ]


def test_what_is_done_or_past_reminds_nobody(draft):
    written(draft, code="a", due_on=TODAY - timedelta(days=1))
    done = written(draft, code="b", due_on=TODAY)
    mark_deadline(deadline=done.deadline, is_done=True)
    assert remind_of_deadlines(now=NOW) == 0


def test_thanks_stand_on_the_page_as_written_and_only_those(draft, client):
    written(draft, code="a", thanks="for flour and forty euros <b>")
    written(draft, code="b", name="Secret Ltd")
    written(draft, code="c", name="Declined Ltd", state="declined", thanks="no")
    page = client.get(reverse("campaign:show", args=[draft.code])).content.decode()
    assert "Bakery Kornblum: for flour and forty euros &lt;b&gt;" in page
    assert "Secret Ltd" not in page
    assert "Declined Ltd" not in page


def test_gifts_in_kind_are_summed_beside_the_money_and_never_in_it(draft, ada_client):
    paper, ink = draft.price_items.get(code="paper"), draft.price_items.get(code="ink")
    GiftInKind.objects.create(show=draft, giver="The Net Loft", item=paper, quantity_milli=2_000, value_minor=7_800)
    GiftInKind.objects.create(show=draft, giver="Aunt Example", item=ink, quantity_milli=1_000, thanks="for ink")
    before = read_money(draft).in_hand.total_minor
    page = read_funders(draft, today=TODAY)
    assert (page.gifts_minor, page.gifts_without_value, page.received_minor) == (7_800, 1, 0)
    assert read_money(draft).in_hand.total_minor == before == 0
    html = ada_client.get(reverse("campaign:funders", args=[draft.code])).content.decode()
    assert "€78.00" in html and "not said" in html and "not named" in html and "(1 not counted)" in html


def test_money_booked_without_a_name_is_not_passed_over(draft, ada_client):
    record_other_money(
        show=draft, key="s", kind="sponsor", amount_minor=20_000, happened_on=TODAY, text="Bakery", now=NOW
    )
    html = ada_client.get(reverse("campaign:funders", args=[draft.code])).content.decode()
    assert "€200.00 of sponsors or grants is booked" in html and "Nobody is written down yet" not in html
    came(written(draft), 15_000)
    assert read_funders(draft, today=TODAY).elsewhere_minor == 20_000
    html = ada_client.get(reverse("campaign:funders", args=[draft.code])).content.decode()
    assert "€200.00 more is booked" in html
    correct_entry(entry=CashEntry.objects.get(key="other:s"), reason="wrong show", now=NOW)
    assert read_funders(draft, today=TODAY).elsewhere_minor == 0

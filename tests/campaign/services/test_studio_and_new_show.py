"""Who the studio is, a new show, and the figures that prices are worked out from."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from campaign.errors import NotReady
from campaign.models import LastStep, Show, Studio
from campaign.queries.details import STUDIO_FIELDS
from campaign.services.campaigns import close_campaign
from campaign.services.new_show import NewShowWish, create_show
from campaign.services.pricing import set_fee_estimate, set_wanted_sums
from campaign.services.studio_details import save_studio
from tests.builders import NOW, make_draft, make_studio

WISH = NewShowWish(
    title="Low water", venue_name="The Net Loft", country="DE", time_zone="Europe/Berlin", currency="EUR",
    length_unit="cm", opens_at=datetime(2026, 6, 1, tzinfo=UTC), closes_at=datetime(2026, 7, 1, tzinfo=UTC),
    hang_on=date(2026, 7, 20), opening_at=datetime(2026, 7, 22, 16, tzinfo=UTC), last_day_on=date(2026, 8, 20),
    posting_by_on=date(2026, 9, 1), cancel_until_on=date(2026, 7, 1),
)  # fmt: skip


def details(**changes):
    who = {"artist_name": "Ada Example", "email": "ada@example.org", "takes_cards": False}
    return dict.fromkeys(STUDIO_FIELDS, "") | who | changes


def test_the_studio_is_one_row_made_and_changed(db):
    save_studio(values=details())
    save_studio(values=details(cheque_payee="Ada Example"))
    assert Studio.objects.get().cheque_payee == "Ada Example"


def test_an_account_has_a_holder(db):
    with pytest.raises(NotReady, match="holder"):
        save_studio(values=details(iban="DE89370400440532013000"))
    assert not Studio.objects.exists()


def test_while_orders_are_taken_one_way_of_paying_stays(db):
    make_draft(state="open")
    with pytest.raises(NotReady, match="one way of paying must stay"):
        save_studio(values=details())
    save_studio(values=details(cash_note="At the studio."))
    assert Studio.objects.get().iban == ""


def test_an_empty_show_is_made_once(db):
    make_studio()
    show = create_show(wish=WISH)
    assert (show.code, show.state) == ("low-water", "draft")
    assert create_show(wish=WISH) == show
    assert create_show(wish=replace(WISH, venue_name="Elsewhere")).code == "low-water-2"
    assert not show.walls.exists()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"closes_at": WISH.opens_at}, "Orders must open before they close"),
        ({"hang_on": date(2026, 7, 23)}, "must follow each other"),
        ({"closes_at": datetime(2026, 7, 21, tzinfo=UTC)}, "close by hanging day"),
    ],
)
def test_dates_that_cannot_follow_each_other_make_no_show(db, changes, words):
    make_studio()
    with pytest.raises(NotReady, match=words):
        create_show(wish=replace(WISH, **changes))
    assert not Show.objects.exists()


def test_a_show_comes_after_the_studio(db):
    with pytest.raises(NotReady, match="who the studio is"):
        create_show(wish=WISH)


def test_the_fee_is_kept_as_an_estimate_that_moves_no_plan(db):
    show = make_draft()
    version = show.inputs_version
    set_fee_estimate(show=show, fee_bp=290, fee_fixed_minor=30)
    show.refresh_from_db()
    assert (show.fee_bp, show.fee_fixed_minor, show.inputs_version) == (290, 30, version)


def test_wanted_sums_can_be_taken_back_and_nothing_older_once_they_are_there(db):
    show = make_draft()
    version = show.inputs_version
    for _ in range(2):
        set_wanted_sums(show=show, nets={"w01": 12_000, "w02": None}, round_to_minor=500, frames_pass_through=True)
    assert show.works.get(code="w01").net_minor == 12_000
    assert (show.sale_rounding_minor, show.frames_pass_through) == (500, True)
    assert show.inputs_version == version + 1
    assert LastStep.objects.get(show=show).words.startswith("The wanted sums")


def test_wanted_sums_may_still_change_after_the_close(show):
    close_campaign(show=show, now=NOW)
    show.refresh_from_db()
    set_wanted_sums(show=show, nets={"w03": 9_000}, round_to_minor=100, frames_pass_through=False)
    assert show.works.get(code="w03").net_minor == 9_000

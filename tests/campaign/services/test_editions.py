"""The print that is ordered ahead: its copies follow its size, and what people were told of it is kept."""

from dataclasses import replace

import pytest

from campaign.errors import EditionIsLimited, NotReady
from campaign.models import Copy, Edition, Pledge
from campaign.services.campaigns import close_campaign
from campaign.services.editions import EditionWish, remove_edition, save_edition
from campaign.services.pledges import cancel_pledge
from tests.builders import NOW, make_draft, pay, place

WISH = EditionWish(
    title="Harbour light", width_mm=297, height_mm=210, size=20, price_minor=4_500, limit_per_person=3,
    make_cost_minor=420, pack_cost_minor=180, paper="Cotton paper 310 g", work_code="w02", mass_g=180,
    parcel_width_mm=330, parcel_height_mm=250, parcel_depth_mm=20,
)  # fmt: skip


@pytest.fixture
def draft(db):
    return make_draft()


@pytest.fixture
def opened(db):
    """Taking orders; nothing here needs the engine."""
    return make_draft(state="open")


def the_edition(show):
    return show.editions.get(code="harbour")


def numbers(edition):
    return list(edition.copies.order_by("number").values_list("number", flat=True))


def change(show, **changes):
    return save_edition(show=show, edition=the_edition(show), wish=replace(WISH, **changes))


def test_a_new_edition_gets_a_code_of_its_own_and_every_copy(draft):
    made = save_edition(show=draft, edition=None, wish=replace(WISH, title="Harbour", work_code="", size=7))
    assert (made.code, made.work) == ("harbour-2", None)
    assert numbers(made) == [1, 2, 3, 4, 5, 6, 7]


def test_before_the_page_is_public_an_edition_grows_and_shrinks(draft):
    assert numbers(change(draft, size=25)) == list(range(1, 26))
    assert numbers(change(draft, size=3)) == [1, 2, 3]


def test_the_same_words_again_change_nothing(draft):
    before = Edition.objects.values().get()
    version = draft.inputs_version
    change(draft)
    draft.refresh_from_db()
    assert (Edition.objects.values().get(), draft.inputs_version) == (before, version)


@pytest.mark.parametrize(
    ("changes", "is_stale"), [({"size": 10}, True), ({"width_mm": 200}, True), ({"price_minor": 1}, False)]
)
def test_only_what_takes_printer_time_asks_for_a_new_staircase(draft, changes, is_stale):
    version = draft.inputs_version
    change(draft, **changes)
    draft.refresh_from_db()
    assert (draft.inputs_version != version) == is_stale


def test_an_announced_edition_stays_limited(opened):
    with pytest.raises(EditionIsLimited) as caught:
        change(opened, size=21)
    assert caught.value.sentence == (
        "“Harbour light” is announced as 20 copies and stays limited to them, so 21 is too many; "
        "20 or fewer would do. Nothing was changed."
    )
    assert len(numbers(the_edition(opened))) == 20
    assert numbers(change(opened, size=19)) == list(range(1, 20))


def test_an_edition_never_shrinks_below_a_number_that_is_ordered(opened):
    for _ in range(4):
        place(opened, copies=3)
    with pytest.raises(NotReady, match="copy 12 is ordered; 12 or more would do"):
        change(opened, size=11)
    assert the_edition(opened).size == 20
    assert numbers(change(opened, size=12)) == list(range(1, 13))


def test_a_copy_in_a_parcel_is_not_taken_away_either(opened):
    Copy.objects.filter(number=18).update(is_packed=True)
    with pytest.raises(NotReady, match="copy 18"):
        change(opened, size=5)


def test_a_new_price_and_new_costs_are_for_new_orders_only(opened):
    old = place(opened)
    change(opened, price_minor=6_000, make_cost_minor=900, pack_cost_minor=300)
    new = place(opened)
    old.refresh_from_db()
    assert (old.prints_minor, old.make_cost_minor, old.pack_cost_minor) == (4_500, 420, 180)
    assert (new.prints_minor, new.make_cost_minor, new.pack_cost_minor) == (6_000, 900, 300)


def test_a_print_that_is_ordered_keeps_its_measures(opened):
    change(opened, width_mm=300)
    pledge = place(opened)
    with pytest.raises(NotReady, match="300 × 210 mm and keeps it"):
        change(opened, width_mm=310)
    cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    assert change(opened, width_mm=310).width_mm == 310


def test_after_the_close_only_words_and_parcel_can_be_put_right(show):
    pay(place(show))
    close_campaign(show=show, now=NOW)
    assert change(show, paper="Cotton paper 320 g", mass_g=190).mass_g == 190
    for wrong in ({"price_minor": 1}, {"size": 10}, {"limit_per_person": 1}):
        with pytest.raises(NotReady, match="The campaign closed on 10 March 2026"):
            change(show, paper="Cotton paper 320 g", mass_g=190, **wrong)
    with pytest.raises(NotReady, match="closed"):
        save_edition(show=show, edition=None, wish=WISH)
    assert Pledge.objects.get().prints_minor == 4_500


def test_an_edition_that_nobody_ordered_goes_with_its_copies(draft):
    remove_edition(show=draft, edition=the_edition(draft))
    assert not Edition.objects.exists()
    assert not Copy.objects.exists()


def test_an_edition_with_orders_and_the_only_one_of_a_public_page_stay(opened):
    with pytest.raises(NotReady, match="its only print"):
        remove_edition(show=opened, edition=the_edition(opened))
    save_edition(show=opened, edition=None, wish=replace(WISH, title="Another"))
    cancel_pledge(pledge=place(opened), by_backer=False, now=NOW)
    with pytest.raises(NotReady, match="the books name it"):
        remove_edition(show=opened, edition=the_edition(opened))
    assert opened.editions.count() == 2

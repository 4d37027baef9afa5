"""The print's price, its postage and expected fee: worked out as typed, kept only when saved."""

import pytest
from django.urls import reverse

from campaign.models import Copy, Edition
from tests.builders import make_draft, pay, place
from tests.campaign.views.studio_forms import filled, words_of

pytestmark = pytest.mark.usefixtures("clock")


@pytest.fixture
def opened(db):
    """A page that takes orders, without a staircase."""
    return make_draft(state="open")


def edit(client, name, /, *args, **changes):
    """Open a form, type `changes` over it, send it, follow to the next page."""
    url = reverse(f"campaign:{name}", args=args)
    return client.post(url, filled(client.get(url), **changes), follow=True)


def price_page(client, **tried):
    return client.get(reverse("campaign:print_price", args=["tideline", "harbour"]), tried)


def text_of(answer):
    return " ".join(answer.content.decode().split())


def test_the_door_leads_to_the_only_print_and_lists_several(ada_client, opened):
    url = reverse("campaign:prints", args=["tideline"])
    assert ada_client.get(url)["Location"] == reverse("campaign:print_price", args=["tideline", "harbour"])
    Edition.objects.create(
        show=opened, code="second", title="Second print", width_mm=1, height_mm=1, size=1, price_minor=1
    )
    assert b"Second print" in ada_client.get(url).content
    assert ada_client.post(url).status_code == 405
    Edition.objects.filter(code="second").delete()
    Copy.objects.all().delete()
    Edition.objects.all().delete()
    assert b"There is no print to order yet" in ada_client.get(url).content


def test_the_door_is_the_artist_s_alone(client, cleo_client, opened):
    url = reverse("campaign:prints", args=["tideline"])
    assert cleo_client.get(url).status_code == 404
    client.logout()
    assert client.get(url).status_code == 302


def test_a_copy_is_opened_into_lines(ada_client, opened):
    pay(place(opened))
    page = text_of(price_page(ada_client))
    for words in ("Price of the print", "€45.00", "Left for the walls", "1 is spoken for", "A corner", "Still to sell"):
        assert words in page
    assert "on average if a third of the buyers live abroad" in page
    assert "tried out" not in page


def test_other_figures_are_worked_out_and_not_kept(ada_client, opened):
    answer = price_page(
        ada_client, price_minor="20", fee_bp="2,9 %", fee_fixed_minor="0,30", abroad_bp="50", costs_minor="100",
        last_copies="5", last_price_minor="60",
    )  # fmt: skip
    page = text_of(answer)
    assert "tried out, not kept" in page
    assert "even all 20 copies, every one sold at home" in page
    assert "2.9 % of €24.90 + €0.30" in page
    assert "copies cover the campaign’s own costs of €100.00" in page
    assert "With the last 5 copies at €60.00" in page
    opened.refresh_from_db()
    assert (Edition.objects.get().price_minor, opened.fee_bp) == (4_500, 0)


@pytest.mark.parametrize(
    ("tried", "field", "words"),
    [
        ({"price_minor": "many"}, "price_minor", "Found “many”"),
        ({"price_minor": "0"}, "price_minor", "more than nothing"),
        ({"abroad_bp": "130 %"}, "abroad_bp", "from 0 to 100"),
        ({"last_copies": "5"}, "last_price_minor", "Say what those copies would cost."),
    ],
)
def test_figures_that_cannot_be_read_are_refused_at_the_field(ada_client, opened, tried, field, words):
    answer = price_page(ada_client, **tried)
    assert words in answer.context["form"].errors[field][0]
    assert "tried out" not in text_of(answer)


def test_a_page_without_postage_says_what_is_missing(ada_client, opened):
    opened.postage_rates.all().delete()
    assert b"Say what posting costs" in price_page(ada_client).content


def test_an_edition_is_added_with_its_copies_and_not_twice_by_the_same_page(ada_client, show):
    changes = {"title": "Salt store", "print_size": "A4", "size": "12", "price_minor": "30", "make_cost_minor": "3",
               "pack_cost_minor": "1", "limit_per_person": "2"}  # fmt: skip
    answer = edit(ada_client, "new_edition", "tideline", **changes)
    assert answer.redirect_chain
    made = show.editions.get(code="salt-store")
    assert (made.width_mm, made.height_mm, made.copies.count()) == (210, 297, 12)
    assert words_of(answer)[0].startswith("Saved.")


def test_an_edition_s_price_is_changed_for_new_orders(ada_client, show):
    old = place(show)
    for _ in range(2):
        edit(ada_client, "edition", "tideline", "harbour", price_minor="52,50")
    old.refresh_from_db()
    assert (show.editions.get().price_minor, old.prints_minor) == (5_250, 4_500)


def test_an_announced_edition_cannot_grow_and_the_page_says_why(ada_client, opened):
    answer = edit(ada_client, "edition", "tideline", "harbour", size="30", title="Typed over")
    assert "stays limited" in answer.context["form"].non_field_errors()[0]
    assert answer.context["form"]["title"].value() == "Typed over"
    assert Edition.objects.get().title == "Harbour light"


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"size": "0"}, "size", "from 1 to 5,000"),
        ({"print_size": "large"}, "print_size", "Found “large”"),
        ({"price_minor": ""}, "price_minor", "required"),
        ({"work_code": "w99"}, "work_code", "w99"),
        ({"mass_g": "heavy"}, "mass_g", "Found “heavy”"),
    ],
)
def test_an_edition_that_cannot_be_read_is_refused_at_the_field(ada_client, opened, changes, field, words):
    answer = edit(ada_client, "edition", "tideline", "harbour", **changes)
    assert words in answer.context["form"].errors[field][0]
    assert Edition.objects.get().size == 20


def test_a_print_is_taken_away_only_after_asking_and_never_the_last_one(ada_client, show):
    url = reverse("campaign:delete_edition", args=["tideline", "harbour"])
    assert "Take the print “Harbour light” away?" in ada_client.get(url).content.decode()
    answer = ada_client.post(url, follow=True)
    assert "its only print" in words_of(answer)[0]
    assert show.editions.count() == 1


def test_postage_is_one_table(ada_client, opened):
    changes = {"post-4-zone": "Switzerland", "post-4-countries": "Switzerland", "post-4-charge_minor": "12",
               "post-0-charge_minor": "5,20"}  # fmt: skip
    for _ in range(2):
        answer = edit(ada_client, "postage", "tideline", **changes)
        assert "Orders that are placed already keep theirs" in words_of(answer)[0]
        changes = {}
    rate = opened.postage_rates.get(zone="Switzerland")
    assert (rate.countries, rate.up_to_copies, rate.charge_minor, rate.cost_minor) == ("CH", 1, 1_200, 1_200)
    assert opened.postage_rates.get(zone="Germany").charge_minor == 520
    assert opened.postage_rates.get(zone="Europe", up_to_copies=3).countries == "AT FR GB IE NL"
    assert "ends at 1" in text_of(answer)


def test_the_union_is_shown_by_its_name(ada_client, opened):
    edit(ada_client, "postage", "tideline", **{"post-1-countries": "EU, GB"})
    rows = ada_client.get(reverse("campaign:postage", args=["tideline"])).context["rows"]
    assert [form["countries"].value() for form in rows][:4] == ["DE", "EU, GB", "", "everywhere else"]
    assert "PL" in opened.postage_rates.filter(zone="Europe").first().country_codes


def test_postage_that_cannot_be_read_is_refused_at_the_field_or_as_a_whole(ada_client, opened):
    answer = edit(ada_client, "postage", "tideline", **{"post-0-countries": "Atlantis"})
    assert "is no country" in answer.context["rows"].forms[0].errors["countries"][0]
    answer = edit(ada_client, "postage", "tideline", **{"post-0-countries": "FR"})
    assert "FR is in the zones" in words_of(answer)[0]
    assert opened.postage_rates.get(zone="Germany").countries == "DE"


def test_more_rows_keep_what_was_typed(ada_client, opened):
    answer = edit(ada_client, "postage", "tideline", **{"post-4-zone": "Moon", "more": "1"})
    rows = answer.context["rows"]
    assert rows.forms[4]["zone"].value() == "Moon"
    assert len(rows.forms) == 7
    assert opened.postage_rates.count() == 4


def test_the_expected_fee_is_kept(ada_client, opened):
    for _ in range(2):
        answer = edit(ada_client, "fee", "tideline", fee_bp="2,9", fee_fixed_minor="0,30")
    assert words_of(answer) == ["The estimate is kept."]
    opened.refresh_from_db()
    assert (opened.fee_bp, opened.fee_fixed_minor) == (290, 30)
    answer = edit(ada_client, "fee", "tideline", fee_bp="100 %")
    assert "at most 99.99 %" in answer.context["form"].errors["fee_bp"][0]

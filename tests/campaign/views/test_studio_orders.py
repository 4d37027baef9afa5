"""What the artist sets for orders: windows and proofs of an edition, postage by weight, taxes, the posting date."""

from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from campaign.models import Copy, Show
from campaign.queries.basket import LineWish
from campaign.services.campaigns import publish_show
from campaign.services.taxes import TaxWish, set_taxes
from tests.builders import NOW, add_small_edition, make_draft, place
from tests.campaign.views.studio_forms import filled, words_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
FRIEND = {"country_code": "FR", "street_address": "8 rue X", "postal_code": "75008", "city": "Paris"}


def edit(client, name, *args, **changes):
    url = reverse(f"campaign:{name}", args=args)
    return client.post(url, filled(client.get(url), **changes), follow=True)


def test_an_edition_has_a_window_a_place_and_proofs(ada_client, show):
    answer = edit(
        ada_client, "edition", "tideline", "harbour", proofs="2", position="3",
        sold_from_at="2026-03-12T10:00", sold_until_at="2026-03-20T22:00",
    )  # fmt: skip
    assert answer.redirect_chain
    edition = show.editions.get()
    assert (edition.proofs, edition.position) == (2, 3)
    assert edition.sold_from_at == datetime(2026, 3, 12, 9, 0, tzinfo=UTC)
    assert Copy.objects.filter(edition=edition, state=Copy.State.PROOF).count() == 2
    assert edition.copies.filter(state=Copy.State.FREE).count() == 20
    public = ada_client.get("/show/tideline/").content.decode()
    assert "2 artist’s proofs, numbered apart and not for sale" in public and "20 of 20" in public
    assert "from 12 March 2026, 10:00 CET until 20 March 2026, 22:00 CET" in public
    edit(ada_client, "edition", "tideline", "harbour", proofs="", sold_from_at="", sold_until_at="")
    assert not Copy.objects.filter(state=Copy.State.PROOF).exists()
    assert show.editions.get().sold_until_at is None


def test_many_proofs_are_cautioned_not_refused(ada_client, show):
    edit(ada_client, "edition", "tideline", "harbour", proofs="3")
    page = ada_client.get(reverse("campaign:edition", args=["tideline", "harbour"])).content.decode()
    assert "3 artist’s proofs for 20 copies: a tenth at most is common practice" in page


def test_a_window_that_ends_before_it_begins_is_said_at_its_field(ada_client, show):
    answer = edit(
        ada_client, "edition", "tideline", "harbour",
        sold_from_at="2026-03-20T10:00", sold_until_at="2026-03-12T22:00",
    )  # fmt: skip
    assert "before the orders for this print begin" in answer.context["form"].errors["sold_until_at"][0]


def test_postage_goes_by_weight_from_a_day_on(ada_client, show):
    url = reverse("campaign:postage", args=["tideline"])
    rows = {"post-TOTAL_FORMS": "2", "post-INITIAL_FORMS": "0", "save": "1"}
    rows |= {"post-0-zone": "All", "post-0-countries": "*", "post-0-up_to_g": "500 g", "post-0-charge_minor": "4,90"}
    rows |= {"post-1-zone": "All", "post-1-up_to_g": "500 g", "post-1-charge_minor": "5,90",
             "post-1-valid_from_on": "2026-05-01"}  # fmt: skip
    for _ in range(2):
        assert words_of(ada_client.post(url, rows, follow=True)) == [
            "The postage is kept. Orders that are placed already keep theirs."
        ]
    found = show.postage_rates.values_list("up_to_copies", "up_to_g", "charge_minor", "valid_from_on")
    assert list(found) == [(0, 500, 490, None), (0, 500, 590, date(2026, 5, 1))]
    page = ada_client.get(url)
    assert "One person may order 540 g, but the zone “All” ends at 500 g." in page.content.decode()
    assert edit(ada_client, "postage", "tideline", save="1").redirect_chain
    assert show.postage_rates.count() == 2
    both = ada_client.post(url, rows | {"post-0-up_to_copies": "2"})
    assert "empty one of the two" in both.context["rows"].forms[0].errors["up_to_g"][0]
    mixed = ada_client.post(url, rows | {"post-1-up_to_g": "", "post-1-up_to_copies": "3"})
    assert "rows by copies and rows by weight" in words_of(mixed)[0]


def test_taxes_are_kept_shown_and_emptied(ada_client, show):
    url = reverse("campaign:taxes", args=["tideline"])
    rows = {"tax-TOTAL_FORMS": "2", "tax-INITIAL_FORMS": "0", "save": "1"}
    rows |= {"tax-0-name": "VAT", "tax-0-countries": "DE", "tax-0-rate_bp": "7 %", "tax-0-how": "inside"}
    rows |= {"tax-1-name": "VAT", "tax-1-countries": "EU", "tax-1-rate_bp": "19", "tax-1-how": "added-prints"}
    for _ in range(2):
        assert words_of(ada_client.post(url, rows, follow=True))[0].startswith("The taxes are kept.")
    home, union = show.tax_rates.all()
    assert (home.rate_bp, home.is_added, home.covers_postage) == (700, False, True)
    assert (union.rate_bp, union.is_added, union.covers_postage) == (1_900, True, False)
    start = [form.initial.get("countries") for form in ada_client.get(url).context["rows"].forms[:2]]
    assert start == [("DE",), ("EU",)]
    assert edit(ada_client, "taxes", "tideline", save="1").redirect_chain
    assert [rate.pk for rate in show.tax_rates.all()] == [home.pk, union.pk]
    bad = ada_client.post(url, rows | {"tax-0-rate_bp": "100 %", "tax-1-countries": "Atlantis"})
    assert [bool(form.errors) for form in bad.context["rows"].forms] == [True, True]
    twice = ada_client.post(url, rows | {"tax-1-countries": "DE"})
    assert "DE is in the rows" in words_of(twice)[0]
    more = ada_client.post(url, rows | {"save": "", "more": "1"})
    assert len(more.context["rows"].forms) > 2
    ada_client.post(url, {"tax-TOTAL_FORMS": "0", "tax-INITIAL_FORMS": "0", "save": "1"})
    assert not show.tax_rates.exists()


def test_a_tax_at_home_stands_in_what_a_print_leaves(ada_client, show):
    set_taxes(show=show, rates=[TaxWish("VAT", ("DE",), 700)])
    page = ada_client.get(reverse("campaign:print_price", args=["tideline", "harbour"])).content.decode()
    assert "7 % inside €49.90" in page


def test_the_order_s_page_shows_lines_friends_and_tax(ada_client, show):
    add_small_edition(show)
    set_taxes(show=show, rates=[TaxWish("VAT", ("DE",), 700)])
    pledge = place(show, lines=(LineWish("harbour", 1), LineWish("pocket", 1, "Wim Sample", FRIEND)))
    page = ada_client.get(reverse("campaign:pledge", args=["tideline", pledge.code])).content.decode()
    for words in ("1 print of “Pocket”, for Wim Sample", "For Wim Sample", "holds 7 % VAT", "Copy 1 of 20 of"):
        assert words in page


def test_a_posting_date_that_cannot_be_kept_is_warned_of_and_published_all_the_same(ada_client):
    show = make_draft(posting_by_on=date(2026, 4, 9))
    page = ada_client.get(reverse("campaign:fund", args=["tideline"])).content.decode()
    assert "Backers are told that prints are posted by 9 April 2026" in page and "or later" in page
    assert (
        "Backers are told that prints are posted"
        in ada_client.get(reverse("campaign:settings", args=["tideline"])).content.decode()
    )
    assert publish_show(show=show, now=NOW).state == Show.State.OPEN


def test_a_posting_date_with_a_month_of_slack_is_no_warning(ada_client):
    make_draft(posting_by_on=date(2026, 12, 31))
    assert "three in four" not in ada_client.get(reverse("campaign:fund", args=["tideline"])).content.decode()
    for page in ("settings", "schedule"):
        html = ada_client.get(reverse(f"campaign:{page}", args=["tideline"])).content.decode()
        assert "leaves the month of slack that is advised" in html and "Mollick" in html

"""Packing material and how a parcel is packed, page by page; helpers see mailers and masses, and no money."""

import re
import uuid
from datetime import date

import pytest
from django.urls import reverse

from fulfilment.models import CustomsFacts, Mailer, Parcel, PostService, TravelFacts
from fulfilment.services.parcels import mark_posted
from tests.campaign.views.studio_forms import filled
from tests.fulfilment.packed import FLAT, TUBE, set_up_packing, set_up_service
from tests.fulfilment.scene import LATER, close, end, order, print_all, printed_show, show_with_parcels, work

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
TUBE_TYPED = {
    "name": "Tube 64 cm", "kind": "tube", "inner_length_mm": "640 mm", "inner_width_mm": "100 mm",
    "outer_length_mm": "66 cm", "outer_width_mm": "10.6 cm", "mass_g": "320 g", "price_minor": "2.60", "count": "5",
}  # fmt: skip


@pytest.fixture
def parcel(show):
    set_up_packing(show, mailers=(FLAT, TUBE))
    set_up_service(show)
    printed_show(show, orders=1)
    assert work(end(show)) == "done"
    return Parcel.objects.get()


def url(show, name, *parts):
    return reverse(f"fulfilment:{name}", args=[show.code, *parts])


def words(answer):
    """What a page says, without its tags."""
    text = re.sub(r"<script.*?</script>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return " ".join(text.replace("&#x27;", "'").split())


def test_with_nothing_entered_the_page_says_what_entering_would_give(ada_client, show):
    said = words(ada_client.get(url(show, "packing_material")))
    assert "No mailer is entered yet." in said
    assert "counts what has to be bought" in said
    assert "What the post takes to “Germany”, “Europe” and “World” is not said yet" in said


def test_a_tube_is_entered_and_stands_in_the_list(ada_client, show):
    ada_client.post(url(show, "new_mailer"), TUBE_TYPED)
    mailer = Mailer.objects.get(show=show)
    assert (mailer.is_tube, mailer.inner_depth_mm, mailer.outer_depth_mm, mailer.edge_mm) == (True, 100, 106, 0)
    assert (mailer.mass_g, mailer.price_minor, mailer.count) == (320, 260, 5)
    page = ada_client.get(url(show, "packing_material"))
    assert "tube 64 cm long, 10 cm across" in words(page)


def test_a_mailer_is_changed_and_what_is_wrong_is_said_at_its_field(ada_client, show):
    mailer = Mailer.objects.create(show=show, **FLAT)
    page = ada_client.get(url(show, "mailer", mailer.code))
    wrong = filled(page, inner_depth_mm="", outer_length_mm="20 cm", name="Board")
    said = words(ada_client.post(url(show, "mailer", mailer.code), wrong))
    assert "A flat mailer has a depth" in said
    assert "Outside it is at least as large as inside" in said
    assert Mailer.objects.get().name == FLAT["name"]
    typed = {name: page.context["form"][name].field.prepare_value(page.context["form"][name].value()) for name in
             page.context["form"].fields}  # fmt: skip
    ada_client.post(url(show, "mailer", mailer.code), {**typed, "kind": "flat", "name": "Board"})
    changed = Mailer.objects.get()
    assert (changed.name, changed.inner_length_mm, changed.edge_mm) == ("Board", 330, 5)


def test_two_mailers_have_two_names(ada_client, show):
    for _ in range(2):
        answer = ada_client.post(url(show, "new_mailer"), TUBE_TYPED)
    assert "There is a mailer called “Tube 64 cm” already" in words(answer)
    assert Mailer.objects.count() == 1


def test_a_mailer_in_use_stays_and_another_one_goes(ada_client, show, parcel):
    in_use, free = parcel.mailer, Mailer.objects.get(is_tube=True)
    assert "Take it out" in words(ada_client.get(url(show, "delete_mailer", in_use.code)))
    answer = ada_client.post(url(show, "delete_mailer", in_use.code), follow=True)
    assert "1 parcel travels in “Board mailer A4”" in words(answer)
    for _ in range(2):  # a second click finds it gone
        answer = ada_client.post(url(show, "delete_mailer", free.code), follow=True)
    assert answer.status_code == 404
    assert list(Mailer.objects.all()) == [in_use]


def test_how_a_print_travels_is_kept_in_our_units(ada_client, show):
    typed = {
        "way": "rolled", "least_tube_mm": "76 mm", "thickness_um": "0.45", "mass_g": "42", "reason": "sale",
        "commodity_code": "4911.91 ", "origin_country": "DE", "content_words": "Limited edition print on paper",
    }  # fmt: skip
    ada_client.post(url(show, "travel", "harbour"), typed)
    facts = TravelFacts.objects.get()
    assert (facts.thickness_um, facts.mass_g, facts.least_tube_mm) == (450, 42, 76)
    assert (facts.commodity_code, facts.origin_country) == ("4911.91", "DE")
    page = ada_client.get(url(show, "travel", "harbour"))
    assert page.context["form"]["thickness_um"].value() == "0.45"


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"way": "rolled"}, "Write how tightly it may be rolled"),
        ({"mass_g": ""}, "Write what one weighs as well"),
        ({"thickness_um": ""}, "Write how thick one is as well"),
        ({"thickness_um": "200"}, "thicker than 10 cm"),
        ({"commodity_code": "art"}, "four to ten digits"),
    ],
)
def test_what_cannot_be_right_of_a_print_is_said(ada_client, show, change, sentence):
    typed = {"way": "flat", "thickness_um": "0.4", "mass_g": "40", "reason": "sale"}
    assert sentence in words(ada_client.post(url(show, "travel", "harbour"), typed | change))
    assert not TravelFacts.objects.exists()


def services(ada_client, show, **typed):
    page = ada_client.get(url(show, "post_services"))
    return ada_client.post(
        url(show, "post_services"), filled(page, **{k.replace("__", "-"): v for k, v in typed.items()})
    )


def test_letter_post_fills_the_limits_that_are_empty(ada_client, show):
    services(ada_client, show, zone0__is_letter_post="on", zone0__name="Small packet", zone0__insured_up_to_minor="50")
    service = PostService.objects.get()
    assert (service.zone, service.mass_g, service.longest_mm, service.tube_sum_mm) == ("Germany", 2_000, 600, 1_040)
    assert service.insured_up_to_minor == 5_000


def test_a_wrong_limit_is_named_with_its_zone_in_one_summary(ada_client, show):
    page = services(ada_client, show, zone0__mass_g="-5", zone1__mass_g="about ten").content.decode()
    assert page.count('id="errors"') == 1
    assert "Two things need another look." in page
    assert '<a href="#id_zone0-mass_g">Germany: Weight at most</a>: Found “-5”' in page
    assert '<a href="#id_zone1-mass_g">Europe: Weight at most</a>: Found “about ten”' in page


def test_limits_of_ones_own_stay_and_an_emptied_zone_has_no_service(ada_client, show):
    services(ada_client, show, zone0__is_letter_post="on", zone0__mass_g="1 kg", zone1__divisor_mm3_per_g="5000",
             zone1__divisor_from_mm3="28317")  # fmt: skip
    assert [(one.zone, one.mass_g, one.longest_mm, one.divisor_mm3_per_g, one.divisor_from_mm3) for one in
            PostService.objects.order_by("zone")] == [
        ("Europe", 0, 0, 5_000, 28_317_000), ("Germany", 1_000, 0, 0, 0),
    ]  # fmt: skip
    page = ada_client.get(url(show, "post_services"))
    empty = {name: "" for name in filled(page) if not name.endswith("-zone")} | {
        name: value for name, value in filled(page).items() if name.endswith("-zone")
    }
    empty.pop("zone0-is_letter_post")
    answer = ada_client.post(url(show, "post_services"), empty, follow=True)
    assert not PostService.objects.exists()
    assert "What the post takes to Germany and Europe is not said any more." in words(answer)


def test_a_table_of_postage_that_changed_meanwhile_is_said(ada_client, show):
    answer = services(ada_client, show, zone0__zone="Elsewhere", zone0__name="x")
    assert "The table of postage has changed meanwhile" in words(answer)
    assert not PostService.objects.exists()


def test_the_price_of_an_sdr_is_kept_with_its_day(ada_client, show):
    ada_client.post(url(show, "customs"), {"sdr_milli": "1.2435", "sdr_read_on": "2026-03-10", "eori": "de 123 4567"})
    facts = CustomsFacts.objects.get()
    assert (facts.sdr_milli, facts.sdr_read_on, facts.eori) == (124_350, date(2026, 3, 10), "DE1234567")
    page = ada_client.get(url(show, "packing_material"))
    assert "1.2435 EUR on 10 March 2026" in words(page)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"sdr_milli": "1.2435"}, "Write on which day you read the price."),
        ({"sdr_read_on": "2026-03-10"}, "Write the price that you read on that day."),
        ({"eori": "1234"}, "begins with two letters"),
        ({"eori": "about ten"}, "and digits follow"),
        ({"vat_number": "none yet"}, "with its digits"),
        ({"ioss_number": "IM12"}, "IM and ten digits"),
        ({"sdr_milli": "many"}, "what one SDR costs"),
    ],
)
def test_what_cannot_be_right_for_customs_is_said(ada_client, show, typed, sentence):
    assert sentence in words(ada_client.post(url(show, "customs"), typed))
    assert not CustomsFacts.objects.exists()


def test_refused_addresses_stand_on_send_with_reasons_and_can_be_packed_all_the_same(ada_client, show):
    set_up_packing(show, mailers=(TUBE,))
    order(show, name="Erika Beispiel")
    close(show)
    print_all(show)
    work(end(show))
    page = ada_client.get(url(show, "send"))
    said = words(page)
    assert "For 1 address no mailer fits" in said and "Erika Beispiel Germany 1/20 Harbour light" in said
    assert "“Harbour light” in Tube 64 cm: Harbour light must lie flat" in said
    answer = ada_client.post(url(show, "pack_anyway"), {"copy_name": "harbour/1"})
    assert answer.status_code == 302 and "/jobs/" in answer["Location"]
    answer = ada_client.post(url(show, "pack_anyway"), {"copy_name": "harbour/1"}, follow=True)
    assert "Papers are being made just now" in words(answer)


def test_another_mailer_and_the_scales_by_a_helper_without_a_word_of_money(kim, show, parcel):
    page = kim.get(url(show, "parcel_packing", parcel.code))
    assert "Board mailer A4" in words(page) and "160 g, reckoned" in words(page)
    typed = {"mailer_code": parcel.mailer.code, "weighed_g": "171"}
    said = words(kim.post(url(show, "parcel_packing", parcel.code), typed, follow=True))
    assert "171 g, by the scales" in said and "are being made again" in said
    said = words(kim.post(url(show, "parcel_packing", parcel.code), typed, follow=True))
    assert "It was so already" in said
    tube = Mailer.objects.get(is_tube=True).code
    said = words(kim.post(url(show, "parcel_packing", parcel.code), {"mailer_code": tube}))
    assert "So it should not go: Harbour light must lie flat" in said
    for name, parts in (("parcel_packing", [parcel.code]), ("packing_material", []), ("send", [])):
        assert not re.search(r"€|EUR|\d\.\d\d\b", words(kim.get(url(show, name, *parts)))), name


def test_a_weight_of_nothing_is_refused(ada_client, show, parcel):
    said = words(ada_client.post(url(show, "parcel_packing", parcel.code), {"weighed_g": "0"}))
    assert "A packed parcel weighs something" in said


def test_the_artist_sees_postage_value_cover_and_note_on_the_parcels_page(ada_client, show, parcel):
    said = words(ada_client.get(url(show, "parcel", parcel.code)))
    for part in ("Board mailer A4", "34.5 × 25.5 × 1.2 cm", "160 g, reckoned", "€4.50", "€45.00, insured for €45.00",
                 "none needed"):  # fmt: skip
        assert part in said, part


def test_the_packing_station_says_what_a_parcel_travels_in(kim, show, parcel):
    contents = kim.get(url(show, "packing_contents")).json()
    assert contents["parcels"][0]["mass"] == "160 g, in Board mailer A4"
    page = kim.post(url(show, "packing_station"), {"scan": parcel.code, "request_key": str(uuid.uuid4())})
    assert "160 g, in Board mailer A4" in words(page)


def test_a_posted_parcel_is_not_sent_back_to_the_packing_station(ada_client, show):
    show_with_parcels(show, orders=1)
    parcel = Parcel.objects.get()
    mark_posted(show=show, tracking={parcel.code: ""}, now=LATER)
    page = words(ada_client.get(url(show, "parcel_packing", parcel.code)))
    assert "It is posted, so nothing here changes any more." in page and "packing station" not in page

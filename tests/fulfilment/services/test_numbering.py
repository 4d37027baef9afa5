"""Which parcels numbering makes: by mailers and limits where they are known, as one heap an address where not."""

import pytest

from campaign.models import Copy, PostageRate
from campaign.queries.basket import LineWish, price_basket, tables_of
from campaign.queries.order_ground import read_ground
from fulfilment.models import PackAnyway, Parcel, ParcelCopy
from fulfilment.queries.parcel_plan import plan_parcels, read_packing_ground
from fulfilment.queries.production import read_ready_copies
from fulfilment.services.production import tick_printed
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, add_small_edition
from tests.fulfilment.packed import FLAT, TUBE, set_up_customs, set_up_packing, set_up_service
from tests.fulfilment.scene import LATER, close, edition_of, end, order, print_all, work

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
ERIKA = {"name": "Erika Beispiel", "email": "erika@example.org"}


def number(show):
    """The show closed, printed and numbered."""
    close(show)
    print_all(show)
    assert work(end(show)) == "done"
    return list(Parcel.objects.order_by("number"))


def refused(show):
    """What numbering would leave out now."""
    ground = read_packing_ground(show, today=LATER.date())
    return plan_parcels(ground, read_ready_copies(show)).refused


def test_nothing_set_up_makes_one_parcel_an_address_as_the_edition_weighs(show):
    order(show, **ERIKA, copies=3)
    (parcel,) = number(show)
    assert (parcel.mass_g, parcel.charged_mass_g, parcel.mailer, parcel.postage_minor) == (540, 540, None, 450)
    assert (parcel.outer_length_mm, parcel.value_minor, parcel.insured_minor, parcel.customs_note) == (0, 13_500, 0, "")


def test_a_single_copy_without_a_mailer_has_the_size_its_edition_says(show):
    order(show)
    (parcel,) = number(show)
    assert (parcel.outer_length_mm, parcel.outer_width_mm, parcel.outer_depth_mm) == (330, 250, 20)


def test_with_a_mailer_the_parcel_knows_size_mass_postage_value_and_cover(show):
    set_up_packing(show)
    set_up_service(show)
    order(show, **ERIKA, copies=2)
    (parcel,) = number(show)
    assert parcel.mailer.name == "Board mailer A4"
    assert (parcel.outer_length_mm, parcel.outer_width_mm, parcel.outer_depth_mm, parcel.is_tube) == (345, 255, 12, 0)
    assert (parcel.mass_g, parcel.charged_mass_g) == (120 + 2 * 40,) * 2
    assert (parcel.postage_minor, parcel.value_minor, parcel.insured_minor) == (450, 9_000, 9_000)


def test_the_cover_ends_at_what_the_service_insures(show):
    set_up_packing(show)
    set_up_service(show, insured_up_to_minor=5_000)
    order(show, copies=2)
    (parcel,) = number(show)
    assert (parcel.value_minor, parcel.insured_minor) == (9_000, 5_000)


def test_one_address_becomes_several_parcels_when_one_does_not_hold_it(show):
    set_up_packing(show, thickness_um=4_000)  # two in a mailer 8 mm deep
    order(show, **ERIKA, copies=2)
    order(show, **ERIKA)
    parcels = number(show)
    assert sorted(parcel.parcel_copies.count() for parcel in parcels) == [1, 2]
    assert {parcel.name for parcel in parcels} == {"Erika Beispiel"}
    assert ParcelCopy.objects.count() == 3


def test_bulk_makes_the_weight_that_is_paid_for(show):
    PostageRate.objects.filter(show=show, zone="Germany").delete()
    for up_to_g, cost in ((500, 300), (2_000, 700)):
        PostageRate.objects.create(
            show=show, zone="Germany", countries="DE", up_to_g=up_to_g, charge_minor=cost, cost_minor=cost
        )
    set_up_packing(show)
    set_up_service(show, divisor_mm3_per_g=1_000)  # 345 × 255 × 12 mm is 1,056 g
    order(show)
    (parcel,) = number(show)
    assert (parcel.mass_g, parcel.charged_mass_g, parcel.postage_minor) == (160, 1_056, 700)


def test_what_no_mailer_takes_is_refused_in_words_and_stays_without_a_parcel(show):
    set_up_packing(show, mailers=({**FLAT, "inner_length_mm": 200, "inner_width_mm": 150},))
    order(show)
    order(show)
    assert number(show) == []
    assert [len(one.group.copies) for one in refused(show)] == [1, 1]
    (reason,) = refused(show)[0].reasons
    assert reason == "“Harbour light” in Board mailer A4: 29.7 × 21 cm is larger than the 14 × 19 cm inside"
    assert not Copy.objects.filter(is_packed=True).exists()


def test_a_limit_of_the_service_refuses_with_its_figures(show):
    set_up_packing(show, mailers=(TUBE,), least_tube_mm=76)
    set_up_service(show, tube_longest_mm=600)
    order(show)
    assert number(show) == []
    assert refused(show)[0].reasons == ("“Harbour light” in Tube 64 cm: length 66 cm, at most 60 cm",)


def test_a_country_without_a_price_is_refused_in_words(show):
    set_up_packing(show)
    order(show, address=LONDON_ADDRESS)
    PostageRate.objects.exclude(zone="Germany").delete()
    assert number(show) == []
    assert refused(show)[0].reasons == ("“Harbour light”: the table of postage has no price for this country",)


def test_the_others_get_their_parcels_beside_one_that_is_refused(show):
    set_up_packing(show)
    set_up_service(show, zone="World", mass_g=50)
    order(show, address={**BERLIN_ADDRESS, "country_code": "CH", "postal_code": "8001", "city": "Zürich"})
    order(show)
    (parcel,) = number(show)
    assert parcel.address["country_code"] == "DE"
    (left,) = refused(show)
    assert left.country == "CH" and "weight 160 g, at most 50 g" in left.reasons[0]


def test_packed_anyway_it_is_one_parcel_that_says_what_stands_against_it(show):
    set_up_packing(show, mailers=(TUBE,))  # the print must lie flat
    order(show, **ERIKA, copies=2)
    PackAnyway.objects.bulk_create(PackAnyway(copy=c, said_at=LATER) for c in Copy.objects.filter(state="spoken_for"))
    (parcel,) = number(show)
    assert (parcel.mailer, parcel.mass_g, parcel.parcel_copies.count()) == (None, 360, 2)
    assert parcel.caution == "“Harbour light” in Tube 64 cm: Harbour light must lie flat"


def test_an_edition_of_which_nothing_is_said_travels_as_before(show):
    set_up_packing(show)
    add_small_edition(show)
    order(show, **ERIKA, lines=(LineWish("harbour", 1), LineWish("pocket", 1)))
    order(show)
    close(show)
    tick_printed(edition=show.editions.get(code="harbour"), numbers=[1, 2], now=LATER)
    tick_printed(edition=show.editions.get(code="pocket"), numbers=[1], now=LATER)
    assert work(end(show)) == "done"
    by_name = {parcel.name: parcel for parcel in Parcel.objects.all()}
    assert by_name.pop("Erika Beispiel").mailer is None
    assert [parcel.mailer.name for parcel in by_name.values()] == ["Board mailer A4"]


@pytest.mark.parametrize(
    ("value_minor", "is_letter", "is_known", "note"),
    [
        (4_500, True, True, "CN 22"), (4_500, False, True, "CN 23"), (40_000, True, True, "CN 23"),
        (4_500, True, False, "CN 23"),
    ],
)  # fmt: skip
def test_abroad_the_parcel_knows_its_customs_note(show, value_minor, is_letter, is_known, note):
    edition = edition_of(show)
    edition.price_minor = value_minor
    edition.save(update_fields=["price_minor"])
    set_up_service(show, zone="Europe", is_letter_post=is_letter)
    if is_known:
        set_up_customs(show)
    order(show, address=LONDON_ADDRESS)
    (parcel,) = number(show)
    assert parcel.customs_note == note


@pytest.mark.parametrize("copies", [1, 2, 3])
@pytest.mark.parametrize("address", [BERLIN_ADDRESS, LONDON_ADDRESS], ids=["home", "abroad"])
def test_one_parcel_costs_what_the_campaign_reckoned_for_the_basket(show, copies, address):
    """`postage_minor` is what posting costs the artist: the same step of the same table as the order was priced by."""
    set_up_packing(show)
    tables = tables_of(read_ground(show), now=LATER)
    basket = price_basket(tables, lines=[LineWish("harbour", copies)], address=address)
    order(show, copies=copies, address=address)
    (parcel,) = number(show)
    assert parcel.postage_minor == basket.postage_cost_minor
    assert parcel.value_minor == basket.prints_minor

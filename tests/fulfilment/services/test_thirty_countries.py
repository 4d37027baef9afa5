"""Orders to thirty countries, paid, printed, numbered: sizes, postage, cover and customs notes of real rows."""

import contextlib

import pytest

from campaign.addresses import AddressError, address_fields, normalise_address
from campaign.addresses.rules import rules_for
from campaign.models import Copy, Edition, PostageRate
from campaign.queries.basket import LineWish, price_basket, tables_of
from campaign.queries.order_ground import read_ground
from fulfilment.models import Mailer, Parcel, ParcelCopy
from fulfilment.packing import count_mailers
from fulfilment.queries.packing_material import read_material
from fulfilment.queries.parcel_packing import read_packing_state
from fulfilment.queries.parcel_plan import as_packing_mailer, read_packing_ground, reckon_parcel
from fulfilment.queries.production import as_printed_copy
from fulfilment.services.checks import check_parcel_addresses, check_parcel_copies, check_parcel_sums, check_parcels
from tests.fulfilment.packed import FLAT, TUBE, set_up_customs, set_up_packing, set_up_service
from tests.fulfilment.scene import LATER, close, end, order, print_all, work

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
# Members of the customs union of the European Union, from its own list of members; the others are not.
UNION = {
    "DE", "AT", "BE", "CZ", "DK", "ES", "FI", "FR", "GR", "HU", "IE", "IT", "LU", "NL", "PL", "PT", "SE", "SI", "SK",
    "HR",
}  # fmt: skip
COUNTRIES = sorted(UNION | {"CH", "NO", "GB", "IS", "LI", "IL", "NZ", "SG", "ZA", "TR"})
FEW = ({**FLAT, "count": 12}, {**FLAT, "name": "Board mailer A3", "inner_length_mm": 440, "outer_length_mm": 460,
       "mass_g": 200, "price_minor": 190, "count": 10}, TUBE)  # fmt: skip


def address_in(country):
    """An address that this country's rules take: its own example of a post code, and one word for everything else."""
    fields = {field.key: field for field in address_fields(country) if field.key != "company_name"}
    filled = dict.fromkeys(fields, "Musterort") | {"name": "A"}
    if "postal_code" in fields:
        filled["postal_code"] = rules_for(country).postal_code_examples[0]
    area = fields.get("country_area")
    for value, _ in area.choices if area else [("", "")]:
        with contextlib.suppress(AddressError):  # the example's post code belongs to one of its regions
            found = normalise_address(country, filled | ({"country_area": value} if value else {}))
            return {key: text for key, text in found.items() if key != "name" and text}
    raise AssertionError(country)


@pytest.fixture
def numbered(show):
    """One to three copies to each country in turn; postage by weight; four kinds of zones."""
    Edition.objects.filter(show=show).update(size=80)
    edition = show.editions.get()
    Copy.objects.bulk_create(Copy(edition=edition, number=number) for number in range(21, 81))
    PostageRate.objects.filter(show=show).delete()
    zones = {"Home": "DE", "Union": " ".join(sorted(UNION - {"DE"})), "Alps": "CH LI", "World": "*"}
    for at, (zone, countries) in enumerate(zones.items()):
        for step, up_to_g in enumerate((200, 500, 2_000)):
            PostageRate.objects.create(
                show=show, zone=zone, countries=countries, up_to_g=up_to_g, charge_minor=400 + 300 * at + 150 * step,
                cost_minor=370 + 280 * at + 140 * step,
            )  # fmt: skip
    set_up_packing(show, mailers=FEW, thickness_um=3_000, mass_g=70)
    for zone in ("Home", "Union", "World"):
        set_up_service(show, zone=zone)
    set_up_service(show, zone="Alps", is_letter_post=False, insured_up_to_minor=0)
    set_up_customs(show)
    for at, country in enumerate(COUNTRIES):
        order(show, name=f"Person {country}", copies=1 + at % 3, address=address_in(country))
    close(show)
    print_all(show)
    assert work(end(show)) == "done"
    show.refresh_from_db()
    return show


def test_every_copy_lies_in_exactly_one_parcel_and_all_sums_agree(numbered):
    assert len(COUNTRIES) == 30
    copies = set(Copy.objects.filter(state="spoken_for").values_list("pk", flat=True))
    inside = list(ParcelCopy.objects.values_list("copy", flat=True))
    assert len(inside) == len(set(inside)) and set(inside) == copies
    assert {parcel.address["country_code"] for parcel in Parcel.objects.all()} == set(COUNTRIES)
    checks = (check_parcels, check_parcel_copies, check_parcel_addresses, check_parcel_sums)
    assert [check().difference for check in checks if check().difference] == []
    assert read_packing_state(numbered, today=LATER.date()).refused == ()
    assert read_packing_state(numbered, today=LATER.date()).faults == {}


def test_a_third_print_makes_a_second_parcel(numbered):
    """Three of 3 mm do not go into a depth of 8 mm."""
    for at, country in enumerate(COUNTRIES):
        parcels = Parcel.objects.filter(address__country_code=country)
        assert parcels.count() == (2 if at % 3 == 2 else 1), country
        assert sum(parcel.parcel_copies.count() for parcel in parcels) == 1 + at % 3


def test_each_parcel_weighs_its_parts_and_costs_its_own_step(numbered):
    for parcel in Parcel.objects.select_related("mailer"):
        prints = parcel.parcel_copies.count()
        assert parcel.mass_g == parcel.charged_mass_g == parcel.mailer.mass_g + 70 * prints
        rates = PostageRate.objects.filter(show=numbered, up_to_g__gte=parcel.mass_g).order_by("up_to_g")
        country = parcel.address["country_code"]
        named = [rate for rate in rates if country in rate.country_codes]
        expected = (named or [rate for rate in rates if rate.countries == "*"])[0]
        assert parcel.postage_minor == expected.cost_minor
        assert parcel.value_minor == prints * 4_500
        assert parcel.insured_minor == (0 if country in ("CH", "LI") else min(parcel.value_minor, 10_000))


def test_who_leaves_the_union_has_a_note_by_service(numbered):
    for parcel in Parcel.objects.all():
        country = parcel.address["country_code"]
        letter = "CN 23" if country in ("CH", "LI") else "CN 22"
        assert parcel.customs_note == ("" if country in UNION else letter), country


def test_what_is_short_is_said_and_the_counting_list_counts_every_parcel(numbered):
    """Twelve and ten flat mailers for forty parcels: the rest is to be bought, never below nothing unseen."""
    material = read_material(numbered, today=LATER.date())
    used = {count.mailer.pk: count.in_parcels for count in material.counts}
    assert used == {
        mailer.pk: Parcel.objects.filter(mailer=mailer).count() for mailer in Mailer.objects.filter(show=numbered)
    }
    assert sum(used.values()) == Parcel.objects.count() == 40
    short = dict(read_packing_state(numbered, today=LATER.date()).short)
    assert sum(short.values()) == material.to_buy == 40 - 22
    assert material.cost_minor == sum(mailer.price_minor * count for mailer, count in short.items())
    assert all(count.mailer.count >= 0 for count in material.counts)


def test_the_counting_list_is_the_same_before_printing_has_ended(show, numbered):
    """The forecast of what is still to come counts what numbering then makes."""
    before = read_material(numbered, today=LATER.date())
    ParcelCopy.objects.all().delete()
    Copy.objects.filter(is_packed=True).update(is_packed=False)
    Parcel.objects.all().delete()
    after = read_material(numbered, today=LATER.date())
    assert [count.needed for count in after.counts] == [count.needed for count in before.counts]
    assert [count.coming for count in after.counts] == [count.in_parcels for count in before.counts]


@pytest.mark.parametrize("country", ["DE", "FR", "CH", "NZ"])
def test_without_packing_a_parcel_costs_what_its_basket_did(numbered, country):
    Mailer.objects.filter(parcels=None).delete()
    tables = tables_of(read_ground(numbered), now=LATER)
    basket = price_basket(tables, lines=[LineWish("harbour", 1)], address=address_in(country))
    copy = as_printed_copy(Copy.objects.filter(state="spoken_for").select_related("edition", "pledge", "line")[0])
    ground = read_packing_ground(numbered, today=LATER.date())
    sums = reckon_parcel(ground, address=address_in(country), copies=[copy], mailer=None)
    assert sums.postage_minor == basket.postage_cost_minor


def test_pure_and_stored_counts_agree(numbered):
    parcels = [
        type("P", (), {"mailer": as_packing_mailer(parcel.mailer, count=0)}) for parcel in
        Parcel.objects.select_related("mailer")
    ]  # fmt: skip
    mailers = [as_packing_mailer(mailer, count=mailer.count) for mailer in Mailer.objects.filter(show=numbered)]
    counted = count_mailers(parcels, mailers=mailers)
    material = read_material(numbered, today=LATER.date())
    assert counted == {
        count.mailer.name: (count.needed, count.to_buy) for count in material.counts if count.needed
    }  # fmt: skip

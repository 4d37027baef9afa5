from hypothesis import given
from hypothesis import strategies as st

from fulfilment.packing import PrintedCopy, group_into_parcels

BERLIN = (("city", "Berlin"), ("country_code", "DE"), ("postal_code", "10115"), ("street_address", "Musterweg 12"))
BONN = (("city", "Bonn"), ("country_code", "DE"), ("postal_code", "53111"), ("street_address", "Musterweg 12"))


def copy(key, *, name="Erika Beispiel", email="erika@example.org", address=BERLIN, mass_g=180, edition="harbour"):
    return PrintedCopy(
        key=key, number=key, edition_code=edition, mass_g=mass_g, name=name, email=email, address=address
    )


def keys(parcels):
    return [[one.key for one in parcel.copies] for parcel in parcels]


def test_two_orders_of_one_person_to_one_address_travel_together():
    assert keys(group_into_parcels([copy(1), copy(2)])) == [[1, 2]]


def test_capitals_spaces_and_commas_make_no_second_parcel():
    shouted = tuple((field, f" {value.upper()} ,") for field, value in BERLIN)
    parcels = group_into_parcels([copy(1), copy(2, email="Erika@Example.org", name="ERIKA  BEISPIEL", address=shouted)])
    assert keys(parcels) == [[1, 2]]
    assert parcels[0].name == "Erika Beispiel"


def test_another_address_name_or_mail_is_another_parcel():
    others = [copy(2, address=BONN), copy(3, name="Jo Beispiel"), copy(4, email="jo@example.org")]
    assert len(group_into_parcels([copy(1), *others])) == 4


def test_an_empty_field_and_a_missing_one_are_the_same():
    assert len(group_into_parcels([copy(1), copy(2, address=(*BERLIN, ("city_area", "")))])) == 1


def test_mass_is_the_sum_of_the_packed_copies():
    assert group_into_parcels([copy(1, mass_g=180), copy(2, mass_g=240)])[0].mass_g == 420


def test_parcels_come_by_country_postcode_and_name():
    austria = (("city", "Wien"), ("country_code", "AT"), ("postal_code", "1010"), ("street_address", "Weg 1"))
    parcels = group_into_parcels(
        [copy(1, address=BONN), copy(2, name="Zoe"), copy(3, name="Anna"), copy(4, address=austria)]
    )
    assert keys(parcels) == [[4], [3], [2], [1]]


def test_nothing_to_pack_is_no_parcel():
    assert group_into_parcels([]) == ()


addresses = st.sampled_from([BERLIN, BONN, tuple((k, v.lower()) for k, v in BERLIN), ()])
copies = st.lists(
    st.builds(
        copy,
        st.integers(1, 500),
        name=st.sampled_from(["Erika", "ERIKA", "Jo", ""]),
        email=st.sampled_from(["a@example.org", "A@example.org", "b@example.org"]),
        address=addresses,
        mass_g=st.integers(0, 5000),
        edition=st.sampled_from(["harbour", "loft"]),
    ),
    unique_by=lambda one: one.key,
)


@given(copies)
def test_every_copy_is_in_exactly_one_parcel(these):
    packed = [one for parcel in group_into_parcels(these) for one in parcel.copies]
    assert sorted(packed, key=lambda one: one.key) == sorted(these, key=lambda one: one.key)
    assert sum(parcel.mass_g for parcel in group_into_parcels(these)) == sum(one.mass_g for one in these)


@given(copies, st.randoms(use_true_random=False))
def test_the_order_of_the_copies_does_not_matter(these, chance):
    mixed = list(these)
    chance.shuffle(mixed)
    assert group_into_parcels(mixed) == group_into_parcels(these)


@given(copies)
def test_no_two_parcels_go_to_the_same_recipient(these):
    def spelled(parcel):
        address = tuple(sorted((field, value.casefold()) for field, value in parcel.address))
        return parcel.name.casefold(), parcel.email.casefold(), address

    recipients = [spelled(parcel) for parcel in group_into_parcels(these)]
    assert len(set(recipients)) == len(recipients)

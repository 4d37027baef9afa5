from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.references import make_reference
from campaign.statements import Booked, Movement, Order, OwedSum, Verdict, propose
from campaign.statements.proposals import is_one_mistake, plain_name

DAY = date(2026, 3, 10)
ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"


def order(code="KX7P2MQ4RT6W", **changes):
    fields = {
        "reference": make_reference(code), "name": "Bo Buyer", "total_minor": 4990, "received_minor": 0, "state": "held"
    }  # fmt: skip
    return Order(code=code, **(fields | changes))


def moved(amount_minor=4990, **changes):
    return Movement(booked_on=DAY, amount_minor=amount_minor, currency=changes.pop("currency", "EUR"), **changes)


def one(movement, *, orders=None, **more):
    return propose([movement], orders=[order()] if orders is None else orders, currency="EUR", **more)[0]


REFERENCE = order().reference
OTHER = order("C3D4E5F6G7H8", name="Cy Other")


@pytest.mark.parametrize("state", ["held", "paid", "cancelled", "lapsed"])
@pytest.mark.parametrize("received_minor", [0, 2000, 4990, 6000])
@pytest.mark.parametrize("amount_minor", [1000, 2990, 4990, 9000])
def test_every_case_of_a_reference_that_agrees(state, received_minor, amount_minor):
    found = one(moved(amount_minor, reference=REFERENCE), orders=[order(state=state, received_minor=received_minor)])
    missing_minor = max(0, 4990 - received_minor)
    if state in ("cancelled", "lapsed"):
        expected = Verdict.ENDED
    elif missing_minor == 0:
        expected = Verdict.AGAIN
    elif amount_minor == missing_minor:
        expected = Verdict.AGREES
    else:
        expected = Verdict.LESS if amount_minor < missing_minor else Verdict.MORE
    assert (found.verdict, found.order_code) == (expected, order().code)
    assert found.is_certain == (expected is Verdict.AGREES)
    assert found.why.endswith(".")


@pytest.mark.parametrize(
    "text",
    [
        f"{REFERENCE[:4]} {REFERENCE[4:8]} {REFERENCE[8:12]} {REFERENCE[12:]}", REFERENCE.lower(),
        f"Print order {REFERENCE} thank you", f"ref:{REFERENCE}/2026", f"XRF{REFERENCE}RF",
    ],
)  # fmt: skip
def test_reference_is_found_however_the_payer_wrote_it(text):
    assert one(moved(text=text)).verdict is Verdict.AGREES
    assert one(moved(reference=text)).verdict is Verdict.AGREES


def test_two_references_in_one_line_are_no_answer():
    assert one(moved(text=f"{REFERENCE} {OTHER.reference}"), orders=[order(), OTHER]).verdict is Verdict.UNKNOWN


def test_charges_are_counted_as_sent():
    assert one(moved(4840, fee_minor=150, reference=REFERENCE)).verdict is Verdict.AGREES


def test_second_equal_payment_in_one_statement_comes_again():
    found = propose([moved(reference=REFERENCE)] * 2, orders=[order()], currency="EUR")
    assert [proposal.verdict for proposal in found] == [Verdict.AGREES, Verdict.AGAIN]
    halves = propose(
        [moved(2000, reference=REFERENCE), moved(2990, reference=REFERENCE)], orders=[order()], currency="EUR"
    )
    assert [proposal.verdict for proposal in halves] == [Verdict.LESS, Verdict.AGREES]


def every_mistake(reference):
    for place in range(len(reference)):
        yield reference[:place] + reference[place + 1 :]
        for letter in "RF0379AK":
            yield reference[:place] + letter + reference[place + 1 :]
            yield reference[:place] + letter + reference[place:]
        if place:
            yield reference[: place - 1] + reference[place] + reference[place - 1] + reference[place + 1 :]


def test_every_single_mistake_in_a_reference_finds_its_order():
    tried = 0
    for typed in sorted(set(every_mistake(REFERENCE)) - {REFERENCE}):
        if REFERENCE in typed:
            continue  # a character before or behind a whole reference is no mistake
        found = one(moved(text=f"to {typed} please"), orders=[order(), OTHER])
        assert (found.verdict, found.order_code) == (Verdict.TYPO, order().code), typed
        assert "typing mistake" in found.why
        tried += 1
    assert tried > 200


def test_sound_reference_of_somebody_else_is_no_mistake():
    assert one(moved(text=make_reference("KX7P2MQ4RT6V"))).verdict is Verdict.UNKNOWN


def test_name_and_sum_agree_for_exactly_one_order():
    assert one(moved(party_name="BUYER, Dr. Bo")).verdict is Verdict.NAME
    assert one(moved(4000, party_name="Bo Buyer")).verdict is Verdict.UNKNOWN
    assert one(moved(party_name="Bo Buyer"), orders=[order(), order("C3D4E5F6G7H8")]).verdict is Verdict.UNKNOWN
    assert one(moved(party_name="Bo Buyer"), orders=[order(state="lapsed")]).verdict is Verdict.UNKNOWN
    assert one(moved(party_name=""), orders=[order(name="")]).verdict is Verdict.UNKNOWN


def test_other_currency_is_never_matched():
    found = one(moved(reference=REFERENCE, currency="CHF"))
    assert (found.verdict, found.order_code) == (Verdict.CURRENCY, "")


def test_money_booked_by_hand_is_seen():
    by_hand = Booked("e1", date(2026, 3, 8), 4990, "a payment of 8 March", order_code=order().code)
    found = one(moved(reference=REFERENCE), booked=[by_hand])
    assert (found.verdict, found.key) == (Verdict.BOOKED, "e1")
    assert one(moved(party_name="Bo Buyer"), booked=[by_hand]).verdict is Verdict.BOOKED
    assert one(moved(), booked=[by_hand]).verdict is Verdict.UNKNOWN
    far = Booked("e1", date(2026, 2, 8), 4990, "", order_code=order().code)
    assert one(moved(reference=REFERENCE), booked=[far]).verdict is Verdict.AGREES
    payout = Booked("e2", DAY, 4990, "a payout of the card processor")
    assert one(moved(text="payout"), booked=[payout]).key == "e2"


def test_one_entry_is_taken_by_one_line_only():
    by_hand = Booked("e1", DAY, 4990, "", order_code=order().code)
    found = propose([moved(reference=REFERENCE)] * 2, orders=[order()], booked=[by_hand], currency="EUR")
    assert [proposal.verdict for proposal in found] == [Verdict.BOOKED, Verdict.AGREES]


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"party_iban": "NL91ABNA0417164300"}, Verdict.REFUND),
        ({"party_iban": "DE89370400440532013000", "party_name": "Bo Buyer"}, Verdict.UNKNOWN),
        ({"party_name": "Buyer Bo"}, Verdict.REFUND),
        ({"reference": REFERENCE}, Verdict.REFUND),
        ({"amount_minor": -1001, "reference": REFERENCE}, Verdict.RETURNED),
        ({"amount_minor": -1001, "party_name": "Bo Buyer"}, Verdict.UNKNOWN),
        ({}, Verdict.UNKNOWN),
    ],
)
def test_money_that_left(changes, verdict):
    owed = OwedSum("r1", order().code, 1000, iban="NL91ABNA0417164300", name="Bo Buyer")
    found = one(moved(**({"amount_minor": -1000} | changes)), owed=[owed])
    assert found.verdict is verdict
    assert found.key == ("r1" if verdict is Verdict.REFUND else "")


def test_reversal_of_a_payment_is_said():
    found = one(moved(-4990, reference=REFERENCE, is_reversal=True))
    assert found.verdict is Verdict.RETURNED and "took back" in found.why
    assert "reversal" in one(moved(is_reversal=True)).why


@pytest.mark.parametrize(
    ("typed", "meant", "is_one"),
    [
        ("ABCD", "ABXD", True), ("ABCD", "ABC", True), ("ABC", "ABCD", True), ("ABDC", "ABCD", True),
        ("ABCD", "ABCD", False), ("DBCA", "ABCD", False), ("AB", "ABCD", False), ("AXYD", "ABCD", False),
    ],
)  # fmt: skip
def test_one_mistake(typed, meant, is_one):
    assert is_one_mistake(typed, meant) is is_one


def test_names_are_compared_without_accents_and_order():
    assert plain_name("Łódź, Renée") == plain_name("Renee Łódz")
    assert plain_name("Jürgen Groß") == plain_name("GROSS Juergen")


codes = st.text(ALPHABET, min_size=12, max_size=12)


@given(st.lists(codes, min_size=1, max_size=8, unique=True), st.data())
def test_only_known_orders_are_ever_proposed(listed, data):
    orders = [order(code, name=f"Name {code}") for code in listed]
    texts = st.one_of(st.text(max_size=40), st.sampled_from([one.reference for one in orders]))
    movements = data.draw(st.lists(st.builds(moved, st.integers(-9999, 9999).filter(bool), text=texts), max_size=8))
    found = propose(movements, orders=orders, currency="EUR")
    assert len(found) == len(movements)
    assert {proposal.order_code for proposal in found} <= {*listed, ""}
    for movement, proposal in zip(movements, found, strict=True):
        if proposal.is_certain:
            assert movement.amount_minor == 4990 and movement.text in {one.reference for one in orders}

import pytest

from campaign.statements import Movement, StatementRefused, is_camt, number_alike, read_camt
from tests.campaign.statements.camt_files import bal, camt, details, entry, party

REFERENCE = "RF18539007547034"
IBAN = "NL91ABNA0417164300"


@pytest.mark.parametrize("version", ["02", "04", "08"])
def test_a_payment_with_a_structured_reference_is_read_in_every_version(version):
    inner = details(
        reference=REFERENCE, words="Harbour light", end="E2E-7", version=version,
        parties=party("Bo Buyer", IBAN, version=version),
    )  # fmt: skip
    read = read_camt(camt(bal("OPBD", "100.00"), bal("CLBD", "149.90"), entry("49.90", inner=inner, version=version),
                          version=version))  # fmt: skip
    (one,) = read.movements
    assert (one.amount_minor, one.currency, one.reference) == (4990, "EUR", REFERENCE)
    assert (one.party_name, one.party_iban) == ("Bo Buyer", IBAN)
    assert one.text == "Harbour light · E2E-7"
    assert one.booked_on.isoformat() == one.value_on.isoformat() == "2026-03-10"
    assert read.iban == "DE89370400440532013000"


def test_money_that_left_is_below_zero_and_names_who_got_it():
    inner = details(parties=party("Frame Maker", IBAN, side="Cdtr"))
    (one,) = read_camt(camt(entry("80.00", turn="DBIT", inner=inner))).movements
    assert (one.amount_minor, one.party_name, one.sent_minor) == (-8000, "Frame Maker", 8000)


@pytest.mark.parametrize("version", ["02", "04", "08"])
def test_several_transactions_of_one_entry_become_movements_of_their_own(version):
    inner = "".join(
        details(amount=amount, turn="CRDT", words=words, version=version)
        for amount, words in (("10.00", "one"), ("20.50", "two"))
    )
    read = read_camt(camt(entry("30.50", inner=inner, version=version), version=version))
    assert [(one.amount_minor, one.text) for one in read.movements] == [(1000, "one"), (2050, "two")]


def test_transactions_that_do_not_add_up_stay_one_movement():
    inner = details(amount="10.00", turn="CRDT", words="one") + details(amount="20.00", turn="CRDT", words="two")
    (one,) = read_camt(camt(entry("30.50", inner=inner))).movements
    assert (one.amount_minor, one.text) == (3050, "one · two")


def test_charges_taken_out_of_the_sum_are_told_apart_from_charges_booked_beside_it():
    def charges(included):
        return (
            '<Chrgs><Rcrd><Amt Ccy="EUR">1.50</Amt><CdtDbtInd>DBIT</CdtDbtInd>'
            f"<ChrgInclInd>{included}</ChrgInclInd></Rcrd></Chrgs>"
        )

    inside, beside = read_camt(
        camt(
            entry("48.40", inner=details(words="a", charges=charges("true"))), entry("49.90", charges=charges("false"))
        )
    ).movements
    assert (inside.amount_minor, inside.fee_minor, inside.sent_minor) == (4840, 150, 4990)
    assert (beside.amount_minor, beside.fee_minor, beside.sent_minor) == (4990, 0, 4990)


def test_charges_of_version_02_count_where_the_sum_sent_is_larger_by_them():
    sent = '<AmtDtls><TxAmt><Amt Ccy="EUR">49.90</Amt></TxAmt></AmtDtls>'
    old = '<Chrgs><Amt Ccy="EUR">1.50</Amt><CdtDbtInd>DBIT</CdtDbtInd></Chrgs>'
    (one,) = read_camt(camt(entry("48.40", charges=sent + old, version="02"), version="02")).movements
    assert one.fee_minor == 150


def test_reversal_is_marked_and_pending_entries_are_passed_over():
    read = read_camt(
        camt(entry("49.90", turn="DBIT", reversal="<RvslInd>true</RvslInd>"), entry("5.00", status="PDNG"))
    )
    (one,) = read.movements
    assert one.is_reversal and one.amount_minor == -4990
    assert read.notes == ("1 entry that is not booked yet was passed over.",)


def test_balances_that_do_not_agree_are_refused_with_the_figures():
    with pytest.raises(StatementRefused, match=r"opens with 100\.00, its entries come to 49\.90, but it closes with 1"):
        read_camt(camt(bal("OPBD", "100.00"), bal("CLBD", "150.00"), entry("49.90")))


def test_overdrawn_balance_counts_below_zero():
    read = read_camt(camt(bal("OPBD", "10.00", "DBIT"), bal("CLBD", "39.90"), entry("49.90")))
    assert len(read.movements) == 1


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"<Document><Else/></Document>", "no statement"),
        (b"<Document><BkToCstmrStmt/></Document>", "no statement"),
        (b"<Document><BkToCstmrStmt>", "line 1, column"),
        (camt(entry("1.234")), "no amount"),
        (camt(entry("1e9")), "no amount"),
        (camt(entry("10.00", turn="SIDE")), "came or left"),
        (camt(entry("10.00", day="2026-02-31")), "no day"),
        (camt(entry("10.00", currency="??")), "no amount"),
        (b'<?xml version="1.0" encoding="no-such"?><a/>', "encoding"),
    ],
    ids=str,
)
def test_what_is_wrong_is_said_in_a_sentence(data, words):
    with pytest.raises(StatementRefused, match=words):
        read_camt(data)


@pytest.mark.parametrize(
    "head",
    [
        '<!DOCTYPE a [<!ENTITY b "boom"><!ENTITY c "&b;&b;&b;&b;">]>',
        '<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/hostname">]>',
        '<!DOCTYPE a SYSTEM "http://127.0.0.1:9/x.dtd">',
    ],
)
def test_entities_and_document_types_are_never_expanded(head):
    with pytest.raises(StatementRefused, match="entities or a document type"):
        read_camt(f"{head}<a>&c;&x;</a>".encode())


def test_too_large_and_too_deep_files_end_in_a_sentence():
    with pytest.raises(StatementRefused, match="10 MB is the most"):
        read_camt(b"<" + b"a" * 10_000_001)
    with pytest.raises(StatementRefused):
        read_camt(b"<a>" * 100_000 + b"</a>" * 100_000)


def test_equal_looking_lines_are_different_and_a_second_reading_is_not():
    data = camt(entry("10.00"), entry("10.00"), entry("11.00"))
    first = number_alike(read_camt(data).movements, scope="show")
    assert [before for _, before in first] == [0, 1, 0]
    assert len({name for name, _ in first}) == 3
    assert number_alike(read_camt(data).movements, scope="show") == first
    assert number_alike(read_camt(data).movements, scope="other") != first


def test_sum_sent_of_money_that_left_is_without_the_charge():
    moved = Movement(booked_on=None, amount_minor=-5150, currency="EUR", fee_minor=150)
    assert moved.sent_minor == 5000


def test_xml_is_known_by_its_beginning():
    assert is_camt(camt()) and is_camt(b"\xef\xbb\xbf <?xml?>") and is_camt("<a/>".encode("utf-16"))
    assert not is_camt(b"Date;Amount") and not is_camt(b"")

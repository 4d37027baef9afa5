"""
Source: ISO 20022 message definition camt.053.001.08 (BankToCustomerStatementV08), its XML schema as published by the
    registration authority; read as a copy in a public repository (peterve123/myfiles, camt.053.001.08.xsd). The
    differences of versions 02 and 04 are from memory.
Edition: camt.053.001.08; read 2026-11-26.
What is checked: the names and the order of the elements that are read stand here as in the schema; a statement made of
    them in that order is read; what the schema allows for an amount is what is taken.
Tolerance: none.
"""

from xml.etree.ElementTree import Element, SubElement, tostring

import pytest

from campaign.statements import StatementRefused, read_camt

pytestmark = pytest.mark.outside

# Of each type the elements in the schema's order, as far as they are read or stand between those that are.
SCHEMA = {
    "AccountStatement9": ("Id", "ElctrncSeqNb", "CreDtTm", "FrToDt", "Acct", "Bal", "TxsSummry", "Ntry"),
    "ReportEntry10": (
        "NtryRef", "Amt", "CdtDbtInd", "RvslInd", "Sts", "BookgDt", "ValDt", "AcctSvcrRef", "BkTxCd", "AmtDtls",
        "Chrgs", "NtryDtls", "AddtlNtryInf",
    ),
    "EntryTransaction10": (
        "Refs", "Amt", "CdtDbtInd", "AmtDtls", "BkTxCd", "Chrgs", "RltdPties", "RltdAgts", "Purp", "RmtInf",
        "AddtlTxInf",
    ),
    "TransactionReferences6": ("MsgId", "AcctSvcrRef", "PmtInfId", "InstrId", "EndToEndId", "UETR", "TxId"),
    "TransactionParties6": ("InitgPty", "Dbtr", "DbtrAcct", "UltmtDbtr", "Cdtr", "CdtrAcct", "UltmtCdtr"),
    "RemittanceInformation16": ("Ustrd", "Strd"),
    "StructuredRemittanceInformation16": ("RfrdDocInf", "RfrdDocAmt", "CdtrRefInf", "Invcr", "Invcee", "AddtlRmtInf"),
    "CreditorReferenceInformation2": ("Tp", "Ref"),
}  # fmt: skip
NAMESPACE = "urn:iso:std:iso:20022:tech:xsd:camt.053.001.08"


def put(parent, path, text="", **attributes):
    """The element at the end of `path`, each step new, with text and attributes."""
    for name in path.split("/"):
        parent = SubElement(parent, name)
    parent.text = text
    for name, value in attributes.items():
        parent.set(name, value)
    return parent


def statement(*, amount="49.90"):
    """One statement with one credited entry, written in the order of the schema."""
    document = Element("Document", xmlns=NAMESPACE)
    message = put(document, "BkToCstmrStmt")
    header = put(message, "GrpHdr")
    put(header, "MsgId", "M")
    put(header, "CreDtTm", "2026-03-11T04:00:00")
    stmt = put(message, "Stmt")
    put(stmt, "Id", "S")
    put(stmt, "Acct/Id/IBAN", "CH9300762011623852957")
    for kind, minor in (("OPBD", "10.00"), ("CLBD", "59.90")):
        balance = put(stmt, "Bal")
        put(balance, "Tp/CdOrPrtry/Cd", kind)
        put(balance, "Amt", minor, Ccy="CHF")
        put(balance, "CdtDbtInd", "CRDT")
        put(balance, "Dt/Dt", "2026-03-10")
    entry = put(stmt, "Ntry")
    put(entry, "NtryRef", "1")
    put(entry, "Amt", amount, Ccy="CHF")
    put(entry, "CdtDbtInd", "CRDT")
    put(entry, "RvslInd", "false")
    put(entry, "Sts/Cd", "BOOK")
    put(entry, "BookgDt/Dt", "2026-03-10")
    put(entry, "ValDt/DtTm", "2026-03-11T00:00:00+01:00")
    put(entry, "BkTxCd/Domn/Cd", "PMNT")
    details = put(entry, "NtryDtls/TxDtls")
    put(details, "Refs/EndToEndId", "NOTPROVIDED")
    put(details, "Amt", amount, Ccy="CHF")
    put(details, "CdtDbtInd", "CRDT")
    parties = put(details, "RltdPties")
    put(parties, "Dbtr/Pty/Nm", "Pia Beispiel")
    put(parties, "DbtrAcct/Id/IBAN", "NL91ABNA0417164300")
    info = put(details, "RmtInf")
    put(info, "Ustrd", "Order of March")
    reference = put(info, "Strd/CdtrRefInf")
    put(reference, "Tp/CdOrPrtry/Cd", "SCOR")
    put(reference, "Ref", "RF18539007547034")
    put(entry, "AddtlNtryInf", "Incoming payment")
    return document


def found(document, name):
    return next(one for one in document.iter() if one.tag == name)


@pytest.mark.parametrize(
    ("kind", "element"),
    [
        ("AccountStatement9", "Stmt"), ("ReportEntry10", "Ntry"), ("EntryTransaction10", "TxDtls"),
        ("TransactionReferences6", "Refs"), ("TransactionParties6", "RltdPties"),
        ("RemittanceInformation16", "RmtInf"), ("StructuredRemittanceInformation16", "Strd"),
        ("CreditorReferenceInformation2", "CdtrRefInf"),
    ],
)  # fmt: skip
def test_our_statement_follows_the_order_of_the_schema(kind, element):
    """Each element's children are a part of the schema's sequence, in its order (Bal may repeat)."""
    places = [SCHEMA[kind].index(child.tag) for child in found(statement(), element)]
    assert places == sorted(places)


def test_statement_of_the_schema_is_read():
    """ReportEntry10, EntryTransaction10, TransactionParties6 with Party40Choice, CreditorReferenceInformation2."""
    read = read_camt(tostring(statement(), encoding="utf-8"))
    (one,) = read.movements
    assert read.iban == "CH9300762011623852957"
    assert (one.amount_minor, one.currency, one.reference) == (4990, "CHF", "RF18539007547034")
    assert (one.party_name, one.party_iban) == ("Pia Beispiel", "NL91ABNA0417164300")
    assert (str(one.booked_on), str(one.value_on)) == ("2026-03-10", "2026-03-11")
    assert one.text == "Order of March · Incoming payment" and not one.is_reversal


@pytest.mark.parametrize("amount", ["49.9", "49.90000", "0049.90"])
def test_amounts_the_schema_allows_are_taken(amount):
    """ActiveOrHistoricCurrencyAndAmount: decimal, at most 18 digits, at most 5 after the point, not below zero."""
    assert read_camt(tostring(statement(amount=amount))).movements[0].amount_minor == 4990


@pytest.mark.parametrize("amount", ["-49.90", "4.99E1", "49,90", "1234567890123456789"])
def test_amounts_the_schema_does_not_allow_are_refused(amount):
    """The same restriction."""
    with pytest.raises(StatementRefused):
        read_camt(tostring(statement(amount=amount)))

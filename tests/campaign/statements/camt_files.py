"""CAMT.053 files as tests want them, in the three versions that are read."""

from xml.sax.saxutils import escape

NAMESPACE = "urn:iso:std:iso:20022:tech:xsd:camt.053.001."


def bal(kind, amount, turn="CRDT", currency="EUR"):
    return (
        f'<Bal><Tp><CdOrPrtry><Cd>{kind}</Cd></CdOrPrtry></Tp><Amt Ccy="{currency}">{amount}</Amt>'
        f"<CdtDbtInd>{turn}</CdtDbtInd><Dt><Dt>2026-03-10</Dt></Dt></Bal>"
    )


def party(name, iban="", *, side="Dbtr", version="08"):
    inner = f"<Nm>{escape(name)}</Nm>"
    inner = f"<Pty>{inner}</Pty>" if version == "08" else inner
    account = f"<{side}Acct><Id><IBAN>{iban}</IBAN></Id></{side}Acct>" if iban else ""
    return f"<RltdPties><{side}>{inner}</{side}>{account}</RltdPties>"


def details(
    *, amount="", turn="", reference="", words="", end="", parties="", charges="", version="08", currency="EUR", sent=""
):
    own = f'<Amt Ccy="{currency}">{amount}</Amt><CdtDbtInd>{turn}</CdtDbtInd>' if amount and version != "02" else ""
    old = f'<AmtDtls><TxAmt><Amt Ccy="{currency}">{sent or amount}</Amt></TxAmt></AmtDtls>' if amount or sent else ""
    structured = (
        f"<Strd><CdtrRefInf><Tp><CdOrPrtry><Cd>SCOR</Cd></CdOrPrtry></Tp><Ref>{reference}</Ref></CdtrRefInf></Strd>"
        if reference
        else ""
    )
    plain = f"<Ustrd>{escape(words)}</Ustrd>" if words else ""
    refs = f"<Refs><EndToEndId>{end or 'NOTPROVIDED'}</EndToEndId></Refs>"
    return f"<TxDtls>{refs}{own}{old}{charges}{parties}<RmtInf>{plain}{structured}</RmtInf></TxDtls>"


def entry(
    amount, *, turn="CRDT", status="BOOK", day="2026-03-10", inner="", charges="", version="08", reversal="",
    currency="EUR", extra="",
):  # fmt: skip
    shown = f"<Cd>{status}</Cd>" if version == "08" else status
    return (
        f'<Ntry><Amt Ccy="{currency}">{amount}</Amt><CdtDbtInd>{turn}</CdtDbtInd>{reversal}<Sts>{shown}</Sts>'
        f"<BookgDt><Dt>{day}</Dt></BookgDt><ValDt><Dt>{day}</Dt></ValDt>{charges}"
        f"<NtryDtls>{inner}</NtryDtls>{extra}</Ntry>"
    )


def camt(*parts, version="08", iban="DE89370400440532013000"):
    body = "".join(parts)
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><Document xmlns="{NAMESPACE}{version}"><BkToCstmrStmt>'
        "<GrpHdr><MsgId>M1</MsgId><CreDtTm>2026-03-11T04:00:00</CreDtTm></GrpHdr><Stmt><Id>S1</Id>"
        f"<Acct><Id><IBAN>{iban}</IBAN></Id></Acct>{body}</Stmt></BkToCstmrStmt></Document>"
    ).encode()

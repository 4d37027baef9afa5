"""What the customs notes of parcels say: the fields of CN 22 and CN 23 in a layout of our own, for the PDF door."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from campaign.addresses import country_name
from campaign.measures.lengths import format_size
from campaign.measures.money import currency_digits
from campaign.models import Copy, Edition, Show
from fulfilment.models import CustomsFacts, Parcel, TravelFacts
from fulfilment.packing import in_eu_customs_area
from fulfilment.queries.production import as_printed_copy

WORDS = "Printed picture on paper"  # where the artist has said nothing else
# Each note with its paper and the margin on it, how many letters of a description go into a row of its usual type, and
# how many rows of descriptions and sender it takes before it is set smaller.
NOTES = (
    (Parcel.CustomsNote.CN22, "74mm 105mm", "3.5mm 4mm", 24, 11),
    (Parcel.CustomsNote.CN23, "210mm 148mm", "7mm 8mm", 50, 13),
)
REASONS = (
    (TravelFacts.Reason.SALE, "Sale of goods"), (TravelFacts.Reason.GIFT, "Gift"), ("documents", "Documents"),
    ("sample", "Commercial sample"), ("returned", "Returned goods"), ("other", "Other"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class CustomsPaper:
    """The notes of one kind for some parcels, a page each: file name, title, and what the template is to say."""

    name: str
    title: str
    context: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class CustomsLine:
    """Copies of one edition in a parcel, as customs reads them; grams and minor units."""

    quantity: int
    words: str
    commodity_code: str
    origin_country: str
    mass_g: int
    value_minor: int
    reason: str


def customs_names(parcels: Sequence[Parcel], *, with_needless: bool = False) -> tuple[str, ...]:
    """File names of the customs notes of `parcels`; `with_needless`, also those of kinds that none of them needs."""
    numbers = f"{parcels[0].number:03}-{parcels[-1].number:03}.pdf"
    needed = {parcel.customs_note for parcel in parcels}
    return tuple(_name(note, numbers) for note, *_ in NOTES if with_needless or note in needed)


def _name(note: str, numbers: str) -> str:
    return f"customs-{note.lower().replace(' ', '')}-{numbers}"


def customs_papers(
    items: Sequence[Mapping[str, Any]], *, show: Show, sender: Sequence[str], which: str
) -> tuple[CustomsPaper, ...]:
    """
    The customs notes of parcels, those of each kind as one document, in the order of `customs_names`.

    Parameters: items, each with a parcel (copies with edition, pledge and line prefetched), its address as `to` and
        `country_line`; sender, lines of the address; which, the parcels in words. Two queries where a note is needed.
    """
    parcels = [item["parcel"] for item in items]
    if not any(parcel.customs_note for parcel in parcels):
        return ()
    facts = {one.edition_id: one for one in TravelFacts.objects.filter(edition__show=show)}
    customs = CustomsFacts.objects.filter(show=show).first()
    shared: dict[str, Any] = {"from_lines": _from_lines(sender, show=show), "customs": customs}
    names, papers = iter(customs_names(parcels)), []
    for note, page_size, page_margin, letters, most_rows in NOTES:
        mine = [_note_context(item, facts=facts, show=show) for item in items if item["parcel"].customs_note == note]
        for one in mine:
            rows = sum(2 + len(line["words"]) // letters for line in one["lines"])
            people = max(len(shared["from_lines"]), _rows_of(one["to"]) if note == Parcel.CustomsNote.CN23 else 0)
            one["is_dense"] = rows + people > most_rows
        if mine:
            page = {"page_size": page_size, "page_margin": page_margin, "note": note, "notes": mine}
            papers.append(CustomsPaper(next(names), f"Customs notes {note}, {which}", shared | page))
    return tuple(papers)


def _rows_of(address: str) -> int:
    """About how many rows an address takes in a third of a page, with its country."""
    return 1 + sum(1 + len(line) // 26 for line in address.splitlines())


def _from_lines(sender: Sequence[str], *, show: Show) -> list[str]:
    """The sender's address with its country: abroad nobody knows it otherwise."""
    country = country_name(show.country)
    has_country = any(line.casefold() == country.casefold() for line in sender)
    return [*sender, *([] if has_country else [country])]


def _note_context(item: Mapping[str, Any], *, facts: Mapping[int, TravelFacts], show: Show) -> dict[str, Any]:
    parcel: Parcel = item["parcel"]
    lines = customs_lines(parcel, facts=facts, show=show)
    reasons = {line.reason for line in lines}
    # One parcel has one reason: with a print that was bought in it, it is a sale.
    reason = TravelFacts.Reason.SALE if TravelFacts.Reason.SALE in reasons or not reasons else min(reasons)
    return {
        "parcel": parcel,
        "to": item["to"],
        "country": item["country_line"],
        "lines": [_written(line, show=show) for line in lines],
        "reasons": [(words, kind == reason) for kind, words in REASONS],
        "net": _net_words(lines, gross_g=parcel.mass_g),
        "gross": _kilograms(parcel.mass_g),
        "value": _money(sum(line.value_minor for line in lines), show=show),
        "postage": "" if parcel.postage_minor is None else _money(parcel.postage_minor, show=show),
        "insured": _money(parcel.insured_minor, show=show) if parcel.insured_minor else "",
        # Of use to the customs of the European Union only, and nobody else's to read.
        "has_ioss": in_eu_customs_area(parcel.address.get("country_code", "")),
    }


def _net_words(lines: Sequence[CustomsLine], *, gross_g: int) -> str:
    """What is inside by itself; empty where it is reckoned with its packing, so that it is not more than the whole."""
    net_g = sum(line.mass_g for line in lines)
    return _kilograms(net_g) if net_g <= gross_g else ""


def customs_lines(parcel: Parcel, *, facts: Mapping[int, TravelFacts], show: Show) -> list[CustomsLine]:
    """What is in a parcel for customs, an edition a line; without copies whose order was cancelled."""
    inside: dict[Edition, list[Copy]] = {}
    for row in parcel.parcel_copies.all():
        if row.copy.state == Copy.State.SPOKEN_FOR:
            inside.setdefault(row.copy.edition, []).append(row.copy)
    return [_line(edition, copies, facts=facts.get(edition.pk), show=show) for edition, copies in inside.items()]


def _line(edition: Edition, copies: Sequence[Copy], *, facts: TravelFacts | None, show: Show) -> CustomsLine:
    words = facts.content_words if facts and facts.content_words else WORDS
    size = format_size(edition.width_mm, edition.height_mm, unit=show.length_unit)
    return CustomsLine(
        quantity=len(copies),
        words=f"{words}, {size}",
        commodity_code=facts.commodity_code if facts else "",
        origin_country=facts.origin_country if facts else "",
        mass_g=len(copies) * (facts.mass_g if facts and facts.mass_g else edition.mass_g),
        value_minor=sum(one.value_minor for one in map(as_printed_copy, copies) if one),
        reason=facts.reason if facts else TravelFacts.Reason.SALE,
    )


def _written(line: CustomsLine, *, show: Show) -> dict[str, Any]:
    return {
        "quantity": line.quantity, "words": line.words, "code": line.commodity_code, "origin": line.origin_country,
        "mass": _kilograms(line.mass_g), "value": _money(line.value_minor, show=show),
    }  # fmt: skip


def _kilograms(mass_g: int) -> str:
    return f"{Decimal(mass_g).scaleb(-3):.3f} kg"


def _money(minor: int, *, show: Show) -> str:
    """With the code of the currency: a sign may mean several."""
    return f"{Decimal(minor).scaleb(-currency_digits(show.currency))} {show.currency}"

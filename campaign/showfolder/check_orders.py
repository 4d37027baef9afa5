"""What backers order by, row against row: editions, postage and taxes."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from campaign.measures.words import count_of
from campaign.showfolder.build import step_copies
from campaign.showfolder.checks import Readings
from campaign.showfolder.countries import EVERYWHERE, open_union
from campaign.showfolder.entries import Entry
from campaign.showfolder.rows import Outcome, Verdict

MOST_PROOFS_PERCENT = 10  # common practice, no source


def postage_faults(readings: Readings, *, zones: Mapping[str, Sequence[str]], home: str) -> Iterator[Verdict]:
    """Zones without countries, countries in two zones, steps that do not rise or end below the limit per person."""
    entries = readings["postage"].entries
    limit = max((entry.values["limit per person"] for entry in readings["edition"].entries), default=0)
    seen: dict[str, str] = {}
    for zone, countries in zones.items():
        steps = [entry for entry in entries if entry.values["zone"] == zone]
        first = steps[0]
        if not countries:
            yield first.verdict("The zone names no country; write codes such as DE, or EU, or *.", column="countries")
        for country in countries:
            if country in seen:
                sentence = f"{country} is in the zone “{seen[country]}” already; name it once."
                yield first.verdict(sentence, column="countries")
            seen.setdefault(country, zone)
        yield from _step_faults(steps, limit=limit)
    if entries and home and home not in seen and EVERYWHERE not in seen:
        sentence = f"No zone has your own country, {home}; add one."
        yield entries[0].verdict(sentence, column="countries")


def _step_faults(steps: Sequence[Entry], *, limit: int) -> Iterator[Verdict]:
    by_weight = [bool(entry.values["up to weight"]) for entry in steps]
    for entry in steps:
        if entry.values["up to weight"] and entry.values["up to copies"]:
            yield entry.verdict(
                "A step goes up to a number of copies or up to a weight; write one.", column="up to weight"
            )
        elif bool(entry.values["up to weight"]) != by_weight[0]:
            yield entry.verdict(
                "The zone has rows by copies and rows by weight; use one of the two.", column="up to weight"
            )
    for day in dict.fromkeys(entry.values["valid from"] for entry in steps):
        dated = [entry for entry in steps if entry.values["valid from"] == day]
        reach = [entry.values["up to weight"] or step_copies(entry.values) for entry in dated]
        for entry, number, before in zip(dated[1:], reach[1:], reach, strict=False):
            if number <= before:
                column = "up to weight" if by_weight[0] else "up to copies"
                yield entry.verdict("The steps of a zone rise; put them in order.", column=column)
    most = max(step_copies(entry.values) for entry in steps)
    if not by_weight[0] and most < limit:
        sentence = f"A backer may order {limit} copies, and this zone ends at {most}; add a step for {limit}."
        yield steps[-1].verdict(sentence, column="up to copies")


def edition_faults(readings: Readings) -> Iterator[Verdict]:
    """A print that costs more than it brings is noted: the artist may mean it, the wall will not thank for it."""
    for entry in readings["edition"].entries:
        values = entry.values
        if values["make cost"] + values["pack cost"] >= values["price"]:
            sentence = "Making and packing cost as much as the price, so an order brings nothing for the wall."
            yield entry.verdict(sentence, column="price", outcome=Outcome.NOTED)
        if values["sold from"] and values["sold until"] and values["sold until"] <= values["sold from"]:
            yield entry.verdict("Orders would end before they begin; put the times right.", column="sold until")
        if values["proofs"] * 100 > values["copies"] * MOST_PROOFS_PERCENT:
            sentence = (
                f"{count_of(values['proofs'], 'proof')} for {count_of(values['copies'], 'copy', plural='copies')}; "
                f"a tenth of the copies or fewer is common practice."
            )
            yield entry.verdict(sentence, column="proofs", outcome=Outcome.NOTED)
    for entry in readings["postage"].entries:
        if entry.values["cost"] is not None and entry.values["charge"] < entry.values["cost"]:
            sentence = "Posting costs more than the backer pays; the rest comes out of the wall money."
            yield entry.verdict(sentence, column="charge", outcome=Outcome.NOTED)


def tax_faults(readings: Readings) -> Iterator[Verdict]:
    """A country that two rows name from the same day on, and rows for everywhere else that name countries as well."""
    entries = readings["taxes"].entries
    opened = open_union([entry.values["countries"] for entry in entries])
    seen: set[tuple[str, date | None]] = set()
    for entry, codes in zip(entries, opened, strict=True):
        if EVERYWHERE in codes and len(codes) > 1:
            yield entry.verdict("The row names countries and * for everywhere else; make it two.", column="countries")
        twice = [code for code in codes if (code, entry.values["valid from"]) in seen]
        if twice:
            sentence = f"{twice[0]} has a row from the same day on already; name it once."
            yield entry.verdict(sentence, column="countries")
        seen |= {(code, entry.values["valid from"]) for code in codes}

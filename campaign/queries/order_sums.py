"""The sums of an order as a table says them: when it is checked, on its own page, in its mails, in the studio."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from campaign.addresses import country_in_sentence
from campaign.measures.words import join_words
from campaign.models import Pledge
from campaign.planning.prices.pricing import percent_words
from campaign.queries.basket import Basket, BasketLine


@dataclass(frozen=True, slots=True)
class SumRow:
    """One row: what, and how much in minor units."""

    words: str
    minor: int


@dataclass(frozen=True, slots=True)
class Sums:
    """Rows that add up to the total, and the tax that the total holds: none where `held_words` is empty."""

    rows: tuple[SumRow, ...]
    total_minor: int
    held_words: str
    held_minor: int


def sums_of_basket(basket: Basket) -> Sums:
    """The sums of an order that is not recorded yet; postage to each address on a row of its own."""
    rows = [SumRow(_line_words(line), line.prints_minor) for line in basket.lines]
    for one in basket.destinations:
        whom = f"{one.recipient_name} in " if one.recipient_name else ""
        rows.append(SumRow(f"Postage to {whom}{country_in_sentence(one.country)}", one.postage_minor))
    rows += _tax_and_gift(
        basket.tax.name, basket.tax.rate_bp, added_minor=basket.tax_added_minor, gift_minor=basket.gift_minor
    )
    held_minor = basket.tax_minor - basket.tax_added_minor
    words = tax_words(basket.tax.name, basket.tax.rate_bp) if held_minor else ""
    return Sums(tuple(rows), basket.total_minor, words, held_minor)


def sums_of_pledge(pledge: Pledge, *, lines: Sequence[SumRow], countries: Sequence[str]) -> Sums:
    """The sums that an order was frozen with; `countries` are the codes it is posted to, the backer's first."""
    rows = list(lines)
    if lines:
        names = join_words([country_in_sentence(code) for code in dict.fromkeys(countries) if code])
        rows.append(SumRow(f"Postage to {names}" if names else "Postage", pledge.postage_minor))
    rows += _tax_and_gift(
        pledge.tax_name, pledge.tax_bp, added_minor=pledge.tax_added_minor, gift_minor=pledge.gift_minor
    )
    held_minor = pledge.tax_minor - pledge.tax_added_minor
    words = tax_words(pledge.tax_name, pledge.tax_bp) if held_minor else ""
    return Sums(tuple(rows), pledge.total_minor, words, held_minor)


def tax_words(name: str, rate_bp: int) -> str:
    """A tax with its rate, in a sentence: "7 % VAT"."""
    return f"{percent_words(rate_bp)} {name}"


def prints_words(title: str, *, copies: int, recipient_name: str) -> str:
    """What a line is: "2 prints of “Low Water”", and for whom where it is for a friend."""
    whom = f", for {recipient_name}" if recipient_name else ""
    return f"{copies} print{'' if copies == 1 else 's'} of “{title}”{whom}"


def _line_words(line: BasketLine) -> str:
    return prints_words(line.edition.title, copies=line.wish.copies, recipient_name=line.wish.recipient_name)


def _tax_and_gift(name: str, rate_bp: int, *, added_minor: int, gift_minor: int) -> Iterator[SumRow]:
    if added_minor:
        yield SumRow(f"{tax_words(name, rate_bp)}, added", added_minor)
    if gift_minor:
        yield SumRow("Gift", gift_minor)

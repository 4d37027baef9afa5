"""What an order would be on: which print, how many, what it costs with postage to a country, how to pay."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from campaign.addresses import country_choices, country_codes
from campaign.models import Copy, Edition, PostageRate, Show, Studio
from campaign.queries.postage import find_postage, list_ways


@dataclass(frozen=True, slots=True)
class CopyChoice:
    """So many copies, posted to the country of the terms; minor units."""

    copies: int
    prints_minor: int
    postage_minor: int

    @property
    def total_minor(self) -> int:
        """Prints and postage together."""
        return self.prints_minor + self.postage_minor


@dataclass(frozen=True, slots=True)
class OrderTerms:
    """
    The terms for one edition and one country (ISO code), or for a gift: then `edition` is None, `country` empty.

    `choices` is empty where nothing can be posted or no copy is free.
    """

    show: Show
    studio: Studio
    edition: Edition | None
    country: str
    copies_free: int
    choices: tuple[CopyChoice, ...]
    ways: tuple[tuple[str, str], ...]
    countries: tuple[tuple[str, str], ...]
    is_open: bool

    @property
    def is_gift(self) -> bool:
        """Money without a print; no address is asked for."""
        return self.edition is None

    @property
    def can_order(self) -> bool:
        """Something can be ordered or given right now."""
        return self.is_open and bool(self.ways) and (self.is_gift or bool(self.choices))

    def sum_of(self, copies: int) -> CopyChoice:
        """The prices of `copies`; nothing for no copies. Raises: StopIteration for a number that is not offered."""
        return next(choice for choice in self.choices if choice.copies == copies) if copies else CopyChoice(0, 0, 0)


def is_open(show: Show, *, now: datetime) -> bool:
    """Orders are taken now."""
    return show.state == Show.State.OPEN and show.opens_at <= now < show.closes_at


def read_print_terms(*, show: Show, edition_code: str, country: str, now: datetime) -> OrderTerms:
    """
    The terms for a print of `show`: the edition named, else the first with a free copy.

    A country that is unknown or has no postage is replaced by the show's own.
    """
    studio = Studio.objects.get(pk=1)
    edition, free = _choose_edition(show, code=edition_code)
    show = Show.objects.prefetch_related("postage_rates").get(pk=show.pk)
    countries = list_countries(show.postage_rates.all())
    codes = [code for code, _ in countries]
    country = next((code for code in (country.upper(), show.country, *codes) if code in codes), "")
    return OrderTerms(
        show=show,
        studio=studio,
        edition=edition,
        country=country,
        copies_free=free,
        choices=_choices(show=show, edition=edition, country=country, most=free) if edition else (),
        ways=tuple(list_ways(studio=studio, show=show)),
        countries=countries,
        is_open=is_open(show, now=now),
    )


def read_gift_terms(*, show: Show, now: datetime) -> OrderTerms:
    """The terms for giving without a print."""
    studio = Studio.objects.get(pk=1)
    ways = tuple(list_ways(studio=studio, show=show))
    return OrderTerms(show, studio, None, "", 0, (), ways, (), is_open=is_open(show, now=now))


def list_countries(rates: Iterable[PostageRate]) -> tuple[tuple[str, str], ...]:
    """The countries that have a postage rate, as form choices sorted by name."""
    named = {code for rate in rates for code in rate.country_codes}
    posted = country_codes() if "*" in named else named
    return tuple((code, name) for code, name in country_choices() if code in posted)


def _choose_edition(show: Show, *, code: str) -> tuple[Edition | None, int]:
    editions = list(show.editions.all())
    free = {edition.pk: count_free(edition) for edition in editions}
    named = [edition for edition in editions if edition.code == code]
    chosen = next(iter(named or [e for e in editions if free[e.pk]] or editions), None)
    return chosen, free[chosen.pk] if chosen else 0


def count_free(edition: Edition) -> int:
    """Copies of `edition` that nobody holds."""
    return edition.copies.filter(state=Copy.State.FREE).count()


def _choices(*, show: Show, edition: Edition, country: str, most: int) -> tuple[CopyChoice, ...]:
    found = []
    for copies in range(1, min(most, edition.limit_per_person) + 1):
        rate = find_postage(show=show, country=country, copies=copies)
        if rate:
            found.append(CopyChoice(copies, edition.price_minor * copies, rate.charge_minor))
    return tuple(found)

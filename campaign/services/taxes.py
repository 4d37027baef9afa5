"""The artist's own table of taxes by country; orders keep the tax they were placed with. Not advice."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from campaign.errors import NotReady
from campaign.models import Show, TaxRate
from campaign.services.matching import TableChange, drop_leftovers, match_rows
from campaign.showfolder.countries import EVERYWHERE, open_union


@dataclass(frozen=True, slots=True)
class TaxWish:
    """One row as typed; `countries` are ISO codes, "EU" or "*" for everywhere else, `rate_bp` in 1/100 %."""

    name: str
    countries: tuple[str, ...]
    rate_bp: int
    is_added: bool = False
    covers_postage: bool = True
    valid_from_on: date | None = None


@transaction.atomic(durable=True)
def set_taxes(*, show: Show, rates: Sequence[TaxWish]) -> list[TaxRate]:
    """
    Replace the table of taxes of `show`; it counts for orders from now on.

    Writes: TaxRate.
    Raises: NotReady for a row without a country, and for a country that two rows name from the same day on.
    Repeat: the same table again changes nothing.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    match_taxes(current, rates=rates)
    return list(current.tax_rates.all())


def match_taxes(show: Show, *, rates: Sequence[TaxWish]) -> TableChange:
    """The step itself, within the transaction of a caller. Raises: NotReady."""
    opened = open_union([rate.countries for rate in rates])
    _check(rates, opened=opened)
    match = match_rows(
        table="taxes",
        present=show.tax_rates.all(),
        wanted=[
            {
                "show": show, "name": rate.name, "countries": " ".join(codes), "rate_bp": rate.rate_bp,
                "is_added": rate.is_added, "covers_postage": rate.covers_postage, "valid_from_on": rate.valid_from_on,
            }
            for rate, codes in zip(rates, opened, strict=True)
        ],
        key=["countries", "valid_from_on"],
    )  # fmt: skip
    drop_leftovers(match)
    return match.change


def _check(rates: Sequence[TaxWish], *, opened: Sequence[tuple[str, ...]]) -> None:
    seen: dict[tuple[str, date | None], str] = {}
    for rate, codes in zip(rates, opened, strict=True):
        if not codes:
            raise NotReady(f"“{rate.name}” names no country; write codes such as DE, or EU, or * for the rest.")
        if EVERYWHERE in codes and len(codes) > 1:
            raise NotReady(f"“{rate.name}” names countries and * for everywhere else; make it two rows.")
        for code in codes:
            key = (code, rate.valid_from_on)
            if key in seen:
                raise NotReady(
                    f"{code} is in the rows “{seen[key]}” and “{rate.name}” from the same day on; name it once."
                )
            seen[key] = rate.name

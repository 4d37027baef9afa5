"""Which tax an order bears, of the artist's own table; not advice."""

from collections.abc import Iterable
from datetime import date

from campaign.models import TaxRate
from campaign.planning.prices.order_tax import NO_TAX, TaxTerms

ELSEWHERE = ("*",)


def find_tax(rates: Iterable[TaxRate], *, country: str, today: date) -> TaxTerms:
    """
    The tax for a backer who lives in `country` (ISO code): of the rows that name it, else of those for everywhere else.

    The newest whose day has come counts, of two of one day the later row; NO_TAX where there is none or its rate is 0.
    """
    started = [rate for rate in rates if rate.valid_from_on is None or rate.valid_from_on <= today]
    named = [rate for rate in started if country and country in rate.country_codes]
    fitting = named or [rate for rate in started if rate.country_codes == ELSEWHERE]
    found = max(fitting, key=lambda rate: (rate.valid_from_on or date.min, rate.pk), default=None)
    if found is None or not found.rate_bp:
        return NO_TAX
    return TaxTerms(found.name, found.rate_bp, is_added=found.is_added, covers_postage=found.covers_postage)

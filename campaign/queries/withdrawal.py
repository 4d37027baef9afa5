"""Withdrawing from the contract on the page of an order, where the rules of the backer's country have it."""

from dataclasses import dataclass

from campaign.models import ChangeRequest, Pledge
from campaign.planning.law.regions import Region, region_of

# The statement itself; a request with this text is a withdrawal, and nobody can type one that is mistaken for it by
# accident. In the sense of Directive 2011/83/EU Annex I (B), in our own words.
WORDS = "I hereby withdraw from the contract for the prints of this order."


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """Whether a backer may declare it here, and what was declared already."""

    is_offered: bool
    declared: ChangeRequest | None


def read_withdrawal(pledge: Pledge) -> Withdrawal:
    """
    Offered for prints to the European Union and the United Kingdom while the order lives. One query, or none.

    Whether it is in time depends on the day on which the last parcel came, which nobody knows here: the statement is
    taken and its moment kept, the artist answers.
    """
    if pledge.copies == 0 or region_of(pledge.address.get("country_code", "")) not in (Region.EU, Region.UK):
        return Withdrawal(is_offered=False, declared=None)
    declared = ChangeRequest.objects.filter(pledge=pledge, text=WORDS).first()
    return Withdrawal(is_offered=pledge.is_live, declared=declared)

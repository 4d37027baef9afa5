"""What happens if less money comes than hoped, and what goes back to a backer, for pages and mails alike."""

from collections.abc import Sequence
from datetime import date

from django import template

from campaign.models import Pledge, Refund, Show, Verification
from campaign.queries import late, minimum, refunds, verification

register = template.Library()


@register.simple_tag
def minimum_words(show: Show) -> str:
    """One or two sentences."""
    return minimum.minimum_words(show)


@register.simple_tag
def last_verification() -> Verification | None:
    """`{% last_verification as found %}`: the newest recount of all figures."""
    return verification.find_last_verification()


@register.filter
def at_the_latest(refund: Refund) -> date:
    """`{{ refund|at_the_latest }}`: the last day to send it, counted from when it was written down."""
    return late.money_back_by(refund.pledge, vests_at=refund.created_at)


@register.simple_tag
def refunds_of(pledge: Pledge) -> Sequence[Refund]:
    """`{% refunds_of pledge as refunds %}`: sums that go back or have gone."""
    return refunds.list_refunds_of(pledge)

"""What the order form says beside its fields."""

from dataclasses import dataclass

from django import template

from campaign.queries.order_terms import OrderTerms, PostageStep

register = template.Library()


@dataclass(frozen=True, slots=True)
class Post:
    """What posting to one country costs."""

    country: str
    steps: tuple[PostageStep, ...]


@register.simple_tag
def postage_of(terms: OrderTerms) -> list[Post]:
    """`{% postage_of terms as posts %}`: the postage to the backer's country, and to the friend's if it is another."""
    countries = dict.fromkeys(code for code in (terms.country, terms.friend_country) if code)
    return [Post(country, terms.postage_steps(country)) for country in countries]

"""What happens if less money comes than hoped, for pages and mails alike."""

from django import template

from campaign.models import Show
from campaign.queries import minimum

register = template.Library()


@register.simple_tag
def minimum_words(show: Show) -> str:
    """One or two sentences."""
    return minimum.minimum_words(show)

"""Which paper a show is printed on."""

from campaign.models import Show

# Where home printers take US letter; everywhere else paper is A4.
LETTER_COUNTRIES = frozenset({"US", "CA", "MX", "PR", "PH"})


def page_size_of(show: Show) -> str:
    """A4 or letter, by the country the show is in."""
    return "letter" if show.country in LETTER_COUNTRIES else "A4"

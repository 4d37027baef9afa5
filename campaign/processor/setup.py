"""Whether the installation's card settings fit each other; Django's `check` asks before every start."""

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Warning

from campaign.processor import is_live


def check_card_settings(**_: Any) -> list[CheckMessage]:
    """What is wrong with the keys of the card processor; nothing where no card is taken."""
    key, secret = settings.CARD_SECRET_KEY, settings.CARD_WEBHOOK_SECRET
    if not key and not secret:
        return []
    if not (key and secret):
        return [Error(_ONE_OF_TWO, id="campaign.E001")]
    if is_live() and not settings.HTTPS:
        return [Error(_LIVE_WITHOUT_HTTPS, id="campaign.E002")]
    if not is_live() and settings.HTTPS:
        return [Warning(_TEST_IN_PUBLIC, id="campaign.W001")]
    return []


_ONE_OF_TWO = "WALLFUL_CARD_SECRET_KEY and WALLFUL_CARD_WEBHOOK_SECRET go together: set both or neither."
_LIVE_WITHOUT_HTTPS = (
    "WALLFUL_CARD_SECRET_KEY is for real money, but WALLFUL_PUBLIC_URL begins with http://. Backers must come back to "
    "an https address; use a test key on a laptop."
)
_TEST_IN_PUBLIC = (
    "WALLFUL_CARD_SECRET_KEY is a test key on a public https site: whoever knows a test card gets an order marked as "
    "paid, and no money comes."
)

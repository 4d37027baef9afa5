"""What the last hourly recount of all figures found."""

from campaign.models import Verification


def find_last_verification() -> Verification | None:
    """The newest recount that has ended; None before the first."""
    return Verification.objects.exclude(ended_at=None).first()

"""Where the prints of an order go, as one short print to compare."""

import hashlib
import json

from campaign.models import Pledge


def print_of_destinations(pledge: Pledge) -> str:
    """The same for the same names and addresses, whatever else of the order changes. One query at most."""
    lines = sorted((line.recipient_name, sorted(line.address.items())) for line in pledge.lines.all())
    said = json.dumps([pledge.name, sorted(pledge.address.items()), lines])
    return hashlib.sha256(said.encode()).hexdigest()[:16]

"""
One process that orders two editions at once: `python -m tests.load.two_editions GO_FILE NAME ATTEMPTS`.

Every second order names the editions the other way round, so that a site which locked them in the order asked for
would wait for itself. Prints one JSON line per attempt, as `tests.load.crowd` does.
"""

import json
import os
import sys
import time
import uuid
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.db import transaction  # noqa: E402 - needs django.setup()
from django.utils import timezone  # noqa: E402

from campaign.errors import NotEnoughCopies  # noqa: E402
from campaign.models import Copy, Edition, Show  # noqa: E402
from campaign.queries.basket import LineWish  # noqa: E402
from campaign.services.plans import refresh_staircase, touch_inputs  # noqa: E402
from campaign.services.pledges import place_pledge  # noqa: E402
from tests.builders import OrderFactory, add_small_edition  # noqa: E402


def attempt(show: Show, *, email: str, is_turned: bool) -> dict[str, object]:
    """One order for a copy of each edition."""
    lines = (LineWish("harbour", 1), LineWish("pocket", 1))
    order = OrderFactory(email=email, lines=lines[::-1] if is_turned else lines)
    try:
        pledge = place_pledge(show=show, request_key=uuid.uuid4(), order=order, now=timezone.now())
    except NotEnoughCopies:
        return {"result": "sold out", "copies": []}
    except Exception as error:  # whatever it is, the test must see it
        return {"result": f"{type(error).__name__}: {error}", "copies": []}
    held = Copy.objects.filter(pledge=pledge).values_list("edition__code", "number")
    return {"result": "sold", "copies": list(held)}


def main(go: str, name: str, count: str) -> None:
    """Get ready, wait, order, report; NAME "seed" only adds the second edition with COUNT copies."""
    show = Show.objects.get(code="tideline")
    if name == "seed":
        add_small_edition(show, copies=int(count))
        Edition.objects.update(limit_per_person=1)
        with transaction.atomic():
            touch_inputs(show)
        refresh_staircase(show=show, now=timezone.now())
        return
    Path(f"{go}.{name}").touch()
    while not Path(go).exists():
        time.sleep(0.005)
    for n in range(int(count)):
        result = attempt(show, email=f"{name}-{n}@example.org", is_turned=n % 2 == 1)
        sys.stdout.write(json.dumps(result) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])

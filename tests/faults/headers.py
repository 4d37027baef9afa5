"""
What a browser is told beside each kind of page: `python -m tests.faults.headers`, under the settings of a public host.

Prints, as JSON, the headers and cookies of pages of each kind: public, behind a private link, studio, files for others.
"""

import json
import os
import sys
import uuid
from datetime import timedelta
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.contrib.auth import get_user_model  # noqa: E402 - needs django.setup()
from django.test import Client  # noqa: E402
from django.urls import reverse  # noqa: E402
from django.utils import timezone  # noqa: E402

from campaign.access import make_calendar_token, make_pledge_token  # noqa: E402
from campaign.queries.basket import LineWish  # noqa: E402
from campaign.services.pledges import Order, place_pledge  # noqa: E402
from tests.builders import BERLIN_ADDRESS, make_show  # noqa: E402
from tests.seed import migrate  # noqa: E402

CHANGES = {"X-Request-Id", "Content-Length", "Date", "Expires", "ETag", "Last-Modified", "Location", "Link"}
PROXY = {"HTTP_X_FORWARDED_PROTO": "https", "HTTP_X_FORWARDED_FOR": "203.0.113.7"}


def told(answer: Any) -> dict[str, Any]:
    """Status, headers that say the same every time, and how each cookie is set (not what is in it)."""
    headers = {name: value for name, value in sorted(answer.items()) if name not in CHANGES}
    cookies = {
        name: {key: bool(morsel[key]) for key in ("secure", "httponly")}
        | {key: morsel[key] for key in ("samesite", "path", "domain")}
        for name, morsel in answer.cookies.items()
    }
    return {"status": answer.status_code, "headers": headers, "cookies": cookies}


def main() -> None:
    """A show, an order, an artist; one page of each kind."""
    migrate()
    now = timezone.now()
    show = make_show(
        opens_at=now - timedelta(days=1), closes_at=now + timedelta(days=20),
        cancel_until_on=(now + timedelta(days=20)).date(), posting_by_on=(now + timedelta(days=60)).date(),
    )  # fmt: skip
    order = Order(
        name="Bea", email="bea@example.org", way="transfer", lines=(LineWish("harbour", 1),),
        address=dict(BERLIN_ADDRESS),
    )  # fmt: skip
    pledge = place_pledge(show=show, request_key=uuid.uuid4(), order=order, now=now)
    artist = get_user_model().objects.create_user("ada", password="a long enough password", is_staff=True)
    visitor, backer, studio = (Client(**PROXY) for _ in range(3))
    studio.force_login(artist)
    link = f"/m/{make_pledge_token(pledge)}/"
    found = {
        "public page": told(visitor.get(f"/show/{show.code}/")),
        "order form": told(visitor.get(f"/show/{show.code}/order/")),
        "private link": told(backer.get(link)),
        "own order": told(backer.get(f"/my/{pledge.code}/")),
        "own order, a stranger": told(visitor.get(f"/my/{pledge.code}/")),
        "sign in": told(Client(**PROXY).get("/sign-in/")),
        "studio": told(studio.get(f"/studio/{show.code}/")),
        "studio, a stranger": told(visitor.get(f"/studio/{show.code}/")),
        "pledges as CSV": told(studio.get(reverse("campaign:pledges_csv", args=[show.code]))),
        "calendar": told(visitor.get(f"/calendar/{make_calendar_token(show)}.ics")),
        "not there": told(visitor.get("/nothing/")),
        "plain http": told(Client().get(f"/show/{show.code}/")),
    }
    sys.stdout.write(json.dumps(found, sort_keys=True))


if __name__ == "__main__":
    main()

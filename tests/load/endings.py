"""
One act of a rush on one order or show: `python -m tests.load.endings GO_FILE NAME ACT`; prints what came of it.

Waits for the file GO_FILE. ACT is owe, give, settle, pay, order or call-off.
"""

import os
import sys
import time
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.utils import timezone  # noqa: E402 - needs django.setup()

from campaign.errors import Refusal  # noqa: E402
from campaign.models import Pledge, Refund, Show  # noqa: E402
from campaign.services import refunds  # noqa: E402
from campaign.services.calling_off import call_off_show  # noqa: E402
from tests.builders import pay, place  # noqa: E402


def act(name: str, what: str) -> None:
    """Do one thing, through the service."""
    now = timezone.now()
    show = Show.objects.get(code="tideline")
    pledge = Pledge.objects.order_by("pk").first()
    if what == "owe":
        refunds.owe_refund(pledge=pledge, amount_minor=pledge.total_minor, key=name, reason="Asked", now=now)
    elif what == "give":
        refunds.give_back(
            pledge=pledge, key=name, amount_minor=pledge.total_minor, way="cash", happened_on=now.date(), now=now
        )
    elif what == "settle":
        refunds.settle_refund(refund=Refund.objects.get(), happened_on=now.date(), now=now)
    elif what == "pay":
        pay(pledge, now=now, key=name)
    elif what == "order":
        pay(place(show, now=now, email=f"{name}@example.org"), now=now)
    else:
        call_off_show(show=show, words="The gallery has closed.", now=now)


def main(go: str, name: str, what: str) -> None:
    """Get ready, wait, act, report."""
    Pledge.objects.exists()
    Path(f"{go}.{name}").touch()
    while not Path(go).exists():
        time.sleep(0.005)
    try:
        act(name, what)
        sys.stdout.write("done")
    except Refusal as refusal:
        sys.stdout.write(type(refusal).__name__)


if __name__ == "__main__":
    main(*sys.argv[1:])

"""
One process of a crowd that orders through the service: `python -m tests.load.crowd GO_FILE NAME ATTEMPTS [KEY]`.

Waits for the file GO_FILE, orders ATTEMPTS times for as many people, and prints one JSON line per attempt: what came of
it, the copy numbers, and from when to when on the machine's monotonic clock. With KEY all attempts are one submit, made
at the same moment by as many threads.
"""

import json
import os
import sys
import threading
import time
import uuid
from importlib import import_module
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.db import connection  # noqa: E402 - needs django.setup()
from django.utils import timezone  # noqa: E402

from campaign.errors import NotEnoughCopies  # noqa: E402
from campaign.models import Copy, Show  # noqa: E402
from campaign.services.pledges import place_pledge  # noqa: E402
from tests.builders import OrderFactory  # noqa: E402


def attempt(show: Show, *, email: str, key: uuid.UUID) -> dict[str, object]:
    """One order for one copy."""
    started = time.monotonic()
    try:
        pledge = place_pledge(show=show, request_key=key, order=OrderFactory(email=email), now=timezone.now())
        result, code = "sold", pledge.code
    except NotEnoughCopies as refusal:
        result, code = ("sold out" if refusal.left == 0 else f"{refusal.left} left"), ""
    except Exception as error:  # whatever it is, the test must see it
        result, code = f"{type(error).__name__}: {error}", ""
    ended = time.monotonic()
    numbers = list(Copy.objects.filter(pledge__code=code).values_list("number", flat=True)) if code else []
    return {"result": result, "code": code, "numbers": numbers, "started": started, "ended": ended}


def one_after_another(show: Show, *, name: str, count: int) -> list[dict[str, object]]:
    """As many people as attempts."""
    return [attempt(show, email=f"{name}-{n}@example.org", key=uuid.uuid4()) for n in range(count)]


def all_at_once(show: Show, *, count: int, key: uuid.UUID) -> list[dict[str, object]]:
    """The same submit from as many threads at one moment."""
    barrier = threading.Barrier(count)
    results: list[dict[str, object]] = []

    def submit() -> None:
        barrier.wait()
        results.append(attempt(show, email="impatient@example.org", key=key))
        connection.close()

    threads = [threading.Thread(target=submit) for _ in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


def main(go: str, name: str, count: str, key: str = "") -> None:
    """Get ready as a web process does, wait, order, report."""
    import_module("config.wsgi")
    show = Show.objects.get(code="tideline")
    Path(f"{go}.{name}").touch()
    while not Path(go).exists():
        time.sleep(0.005)
    if key:
        results = all_at_once(show, count=int(count), key=uuid.UUID(key))
    else:
        results = one_after_another(show, name=name, count=int(count))
    for result in results:
        sys.stdout.write(json.dumps(result) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])

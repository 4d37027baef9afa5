"""How long the artist waits, at the server, for the page that says what an edit changed: a show of 40 works, SQLite."""

import json
import subprocess
import sys
from collections.abc import Iterator
from math import ceil
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from tests.bench.own_database import own_database
from tests.bench.rows import Row

EDITS, WORKS = 50, 40
LIMIT_MS = 300.0  # what comes later no longer feels like an answer to the click


def edit_rows() -> list[Row]:
    """Fifty edits of walls, prices, finishes and works, each up to the page with the new standing."""
    # A process of its own: Django keeps one database per process, and an earlier measurement has taken it.
    command = [sys.executable, "-m", "tests.bench.edits"]
    said = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True).stdout
    waits = sorted(json.loads(said.splitlines()[-1]))
    late = waits[ceil(0.95 * len(waits)) - 1]
    return [
        Row(f"an edit of {WORKS} works to its new standing, p95 of {EDITS}", late, LIMIT_MS, "ms", "limit", 1.0),
        Row("   median", waits[len(waits) // 2], LIMIT_MS, "ms", "limit", None),
        Row("   longest", waits[-1], LIMIT_MS, "ms", "limit", None),
    ]


def _measure() -> list[float]:
    """The waits on a database on disk, so that every commit is paid for, in a process set up as a server's."""
    with TemporaryDirectory() as folder, own_database(Path(folder)):
        return list(_waits_ms())


def _waits_ms() -> Iterator[float]:
    """Milliseconds of each edit: the form is sent, the page it leads to is read."""
    from django.contrib.auth import get_user_model
    from django.test import Client
    from django.urls import reverse

    from tests.campaign.views.studio_forms import filled, words_of

    show = _make_show()
    client = Client()
    client.force_login(get_user_model().objects.create_user("ada", "ada@example.org", is_staff=True))
    for number in range(EDITS):
        page, codes, changes = _edit(number)
        url = reverse(f"campaign:{page}", args=[show.code, *codes])
        data = filled(client.get(url), **changes)
        start = perf_counter()
        answer = client.post(url, data, follow=True)
        wait = perf_counter() - start
        said = " ".join(words_of(answer))
        assert answer.redirect_chain and ("hang" in said or "stays as it was" in said), (page, changes, said)
        yield 1000 * wait


def _edit(number: int) -> tuple[str, list[str], dict[str, Any]]:
    """The page, the codes in its address and what is typed; no two edits are the same."""
    more = number // 5
    return (
        ("wall", ["east"], {"width_mm": f"{9000 - 110 * more} mm"}),
        ("price", ["paper"], {"price_minor": f"{24 + more}.50"}),
        ("finish", ["frame"], {"worth": str(90 - more)}),
        ("work", [f"w{7 + more:02}"], {"need": str(1 + number % 3)}),
        ("wall", ["north"], {"min_gap_mm": f"{100 + 4 * more} mm"}),
    )[number % 5]


def _make_show() -> Any:
    """
    The small show of the tests with 34 works more, longer walls, whole packs, a shelf, series and rules, and money for
    31 of them, so that places are found and drawn.
    """
    from campaign.models import PriceItem, Show, Size, Wall, Work
    from campaign.services.payments import record_other_money
    from campaign.services.plans import refresh_staircase
    from tests.builders import NOW, make_draft

    show = make_draft(state=Show.State.OPEN, most_finishes=2, series_share_finish=True)
    Wall.objects.filter(show=show, code="north").update(width_mm=12_000)
    Wall.objects.filter(show=show, code="east").update(width_mm=9_000, rows=2, row_height_mm=700, row_gap_mm=100)
    PriceItem.objects.filter(show=show, code="moulding").update(
        is_sold_in_packs=True, per_milli=3000, price_minor=2_340, shelf_milli=4000
    )
    PriceItem.objects.filter(show=show, code="acrylic").update(is_sold_in_packs=True, per_milli=1000)
    works = Work.objects.bulk_create(
        Work(
            show=show,
            code=f"w{number:02}",
            title=f"Work {number}",
            year="2025",
            medium="pigment print",
            position=number,
            need=1 + number % 5,
            alt_text="A print in grey and ochre",
            series="Tide" if number % 6 == 0 else "",
            must_hang=number == 8,
        )
        for number in range(7, WORKS + 1)
    )
    Size.objects.bulk_create(
        Size(work=work, code=f"{width}x{height}", width_mm=width, height_mm=height, factor_percent=factor)
        for place, work in enumerate(works)
        for width, height, factor in ((300 + 10 * (place % 7), 400, 100), (450 + 10 * (place % 5), 600, 130))
    )
    record_other_money(
        show=show, key="own", kind="own", amount_minor=90_000, happened_on=NOW.date(), text="Own money", now=NOW
    )
    refresh_staircase(show=show, now=NOW)
    return show


if __name__ == "__main__":
    print(json.dumps(_measure()))

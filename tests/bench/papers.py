"""
Five hundred slips and five hundred labels, as the job makes them, against one `write_pdf` a document and against the
same pages drawn with reportlab.

`python -m tests.bench.papers PARCELS ROUNDS` is the process that measures; alternately, in one run.
"""

import json
import logging
import os
import resource
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from tests.bench.own_database import own_database
from tests.bench.rows import Row

PARCELS, FEW, ROUNDS = 500, 50, 3
EACH = 20  # documents of one page that the first peer makes a round; its rate is what counts
ON_DEMAND = 10  # slips asked for one by one a round
ON_DEMAND_MS = 200.0


def paper_rows() -> list[Row]:
    """Pages a second of the three, memory of many papers over that of few, and one slip on demand."""
    many, few = _measure(PARCELS, ROUNDS), _measure(FEW, 1)
    what = f"{PARCELS} packing slips and {PARCELS} address labels"
    return [
        Row(
            what, median(many["ours"]), median(many["each"]), "/s", "one write_pdf a document", 5.0, is_floor=True
        ),
        Row("   processor time a page", median(many["ours_cpu_ms"]), median(many["each_cpu_ms"]), "ms",
            "one write_pdf a document", None),
        Row("   processor time a page", median(many["ours_cpu_ms"]), median(many["reportlab_cpu_ms"]), "ms",
            "the same pages in reportlab", None),
        Row("   as against reportlab, seconds", 1 / median(many["ours"]), 1 / median(many["reportlab"]), "s a page",
            "the same pages in reportlab", 4.0),
        Row(f"   peak memory of a process, over that of {FEW}", many["peak_mib"], few["peak_mib"], "MiB",
            f"{FEW} slips and labels", 2.0),
        Row("   one slip on demand, warm", 1000 * median(many["one_s"]), ON_DEMAND_MS, "ms", "limit", 1.0),
    ]  # fmt: skip


def _measure(parcels: int, rounds: int) -> Any:
    command = [sys.executable, "-m", "tests.bench.papers", str(parcels), str(rounds)]
    said = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True).stdout
    return json.loads(said.splitlines()[-1])


def _main(count: int, rounds: int) -> dict[str, Any]:
    logging.disable(logging.INFO)  # the engine tells of each step
    figures = ("ours", "each", "reportlab", "one_s", "ours_cpu_ms", "each_cpu_ms", "reportlab_cpu_ms")
    found: dict[str, Any] = {figure: [] for figure in figures}
    with TemporaryDirectory() as folder, own_database(Path(folder)):
        from campaign import paper_engine
        from tests.bench.paper_peers import draw_with_reportlab, render_each

        parcels, show = make_parcels(count)
        for _ in range(rounds):
            with _processor_ms(found["ours_cpu_ms"], pages=2 * count):
                found["ours"].append(2 * count / _timed(lambda: _make(parcels, show)))
                paper_engine.end_idle()  # what children took counts once they have ended
            found["one_s"] += [_timed(lambda one=parcel: _make_one(one, show)) for parcel in parcels[:ON_DEMAND]]
            with _processor_ms(found["each_cpu_ms"], pages=EACH):
                found["each"].append(render_each(parcels[: EACH // 2], show=show))
            with _processor_ms(found["reportlab_cpu_ms"], pages=2 * count):
                seconds = _timed(lambda: draw_with_reportlab(parcels, show=show))
            found["reportlab"].append(2 * count / seconds)
    found["peak_mib"] = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    return found


@contextmanager
def _processor_ms(found: list[float], *, pages: int) -> Iterator[None]:
    """Keeps the processor time a page, in ms, of this process and of children that ended meanwhile."""
    before = sum(os.times()[:4])
    yield
    found.append(1000 * (sum(os.times()[:4]) - before) / pages)


def _timed(act: Any) -> float:
    started = perf_counter()
    act()
    return perf_counter() - started


def _make(parcels: list[Any], show: Any) -> None:
    """As the job makes them: chunks of its size, so many side by side; slips and one size of labels."""
    from campaign.pdf import render_in_turn
    from fulfilment.pdf import paper_sources
    from fulfilment.services.paper_jobs import CHILDREN
    from fulfilment.services.papers import CHUNK

    chunks = [parcels[start : start + CHUNK] for start in range(0, len(parcels), CHUNK)]
    sources = ([source.pdf for source in paper_sources(chunk, show=show)[:2]] for chunk in chunks)
    for chunk, papers in zip(chunks, render_in_turn(sources, at_once=CHILDREN), strict=True):
        assert [paper.pages for paper in papers] == [len(chunk)] * 2


def _make_one(parcel: Any, show: Any) -> None:
    """One slip as a page of the studio makes it: rows to bytes, the child process included."""
    from campaign.pdf import render_pdfs
    from fulfilment.pdf import paper_sources

    assert render_pdfs([paper_sources([parcel], show=show)[0].pdf])[0].pages == 1


def make_parcels(count: int) -> tuple[list[Any], Any]:
    """So many parcels of one or two copies, to people at addresses of several countries."""
    from campaign.models import Copy
    from fulfilment.models import Parcel, ParcelCopy
    from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, make_show, pay, place

    show = make_show(copies=2 * count)
    pledge = place(show)
    pay(pledge)
    copies = list(Copy.objects.filter(edition__show=show).order_by("number"))
    Copy.objects.filter(edition__show=show).update(pledge=pledge, line=pledge.lines.get(), state=Copy.State.SPOKEN_FOR)
    parcels = Parcel.objects.bulk_create(
        Parcel(
            show=show, number=number, code=f"BENCH{number:08}", name=f"Person Number {number}",
            email=f"person-{number}@example.org", mass_g=380 + number,
            address={**(BERLIN_ADDRESS, LONDON_ADDRESS)[number % 2], "street_address": f"Musterweg {number}"},
        )
        for number in range(1, count + 1)
    )  # fmt: skip
    ParcelCopy.objects.bulk_create(
        ParcelCopy(parcel=parcel, copy=copy)
        for at, parcel in enumerate(parcels)
        for copy in copies[2 * at : 2 * at + 1 + at % 2]
    )
    rows = ("parcel_copies__copy__edition", "parcel_copies__copy__pledge", "parcel_copies__copy__line")
    return list(Parcel.objects.filter(show=show).prefetch_related(*rows).order_by("number")), show


if __name__ == "__main__":
    print(json.dumps(_main(int(sys.argv[1]), int(sys.argv[2]))))

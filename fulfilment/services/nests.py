"""Laying all prints onto the paper there is: worked out before anything is locked, kept as one row."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import transaction

from campaign.models import Show
from fulfilment.errors import NothingToLay
from fulfilment.models import Nest, PaperStock
from fulfilment.nesting import Print
from fulfilment.nesting.laying import Laid, Paper, lay_on_paper
from fulfilment.queries.nests import dump_nest
from fulfilment.queries.paper_stock import paper_of, spares_of
from fulfilment.queries.print_list import PrintLine, read_print_list

# Beyond that the rest waits for the next nest: some seconds are enough for somebody who looks at a page.
MOST_PRINTS = 600


def lay_out(*, show: Show, there: Mapping[str, int], request_key: uuid.UUID, now: datetime) -> Nest:
    """
    Lay everything that is to be printed onto its paper; what is there of each paper is counted in the same act.

    `there`: code of a paper -> millimetres of a roll, or sheets; a paper that is not named keeps its count.
    Writes: Nest, PaperStock.
    Raises: NothingToLay.
    Repeat: the same `request_key` gives the nest that is there already.
    """
    known = Nest.objects.filter(show=show, request_key=request_key).first()
    if known:
        return known
    listed = read_print_list(show)
    wanted = [line for line in listed.to_print if line.paper]
    if not wanted:
        raise NothingToLay
    papers = [
        (stock, paper, _lay(stock, paper, [line for line in wanted if line.paper == stock]))
        for stock in listed.papers.stocks
        if any(line.paper == stock for line in wanted)
        for paper in [_counted(stock, there=there.get(stock.code))]
    ]
    return _keep(show, layout=dump_nest(papers, lines=wanted), there=there, request_key=request_key, now=now)


def _counted(stock: PaperStock, *, there: int | None) -> Paper:
    paper = paper_of(stock)
    if there is None:
        return paper
    return replace(paper, there_mm=there) if stock.is_roll else replace(paper, there_sheets=there)


def _lay(stock: PaperStock, paper: Paper, lines: Sequence[PrintLine]) -> Laid:
    needed = sorted(lines, key=lambda line: (not line.is_for_wall, -(line.framing_days or 0)))[:MOST_PRINTS]
    leads = sorted({line.framing_days for line in needed if line.framing_days is not None}, reverse=True)
    ranks = {line.key: leads.index(line.framing_days) for line in needed if line.framing_days is not None}
    prints = [Print(line.key, line.width_mm, line.height_mm) for line in needed]
    return lay_on_paper(prints, paper=paper, spares=spares_of(stock, prints=len(prints)), needed_first=ranks)


@transaction.atomic(durable=True)
def _keep(
    show: Show, *, layout: dict[str, Any], there: Mapping[str, int], request_key: uuid.UUID, now: datetime
) -> Nest:
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    for stock in PaperStock.objects.filter(show=current, code__in=there):
        stock.counted_at = now
        setattr(stock, "there_mm" if stock.is_roll else "there_sheets", there[stock.code])
        stock.save(update_fields=["counted_at", "there_mm" if stock.is_roll else "there_sheets"])
    nest, _ = Nest.objects.get_or_create(
        request_key=request_key, defaults={"show": current, "made_at": now, "layout": layout}
    )
    return nest

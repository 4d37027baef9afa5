"""Everything printed at home: prints for the walls by the plan, ordered copies, proofs, and what became of each."""

import string
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from campaign.models import Copy, Show
from campaign.planning import Option, Plan, PlanRequest
from campaign.queries.explain import find_fixed
from campaign.queries.plan_request import load_request
from campaign.queries.standing import load_plan, read_standing
from fulfilment.models import CopyEvent, PaperStock, ShowPrintEvent
from fulfilment.packing.copy_history import CopyHistory, read_history
from fulfilment.queries.histories import read_histories
from fulfilment.queries.paper_stock import Papers, PaperUse, read_papers, spares_of

Chosen = tuple[str, str, str]  # the codes of a work, a size and a finish


@dataclass(frozen=True, slots=True)
class PrintLine:
    """
    One print to be made: its size with its white border, its paper, and what became of it.

    `key` names it for good; `label` is what drawings call it: the number of a work, or the letter of an edition and
    the number of a copy. `framing_days` None: an ordered copy. `printed_at` None while it is to be printed.
    `chosen` are work, size and finish; `copy` the code of an edition and the number, `proof` that of an artist's proof.
    """

    key: str
    label: str
    title: str
    detail: str
    width_mm: int
    height_mm: int
    border_mm: int
    seconds: int
    framing_days: int | None
    paper: PaperStock | None
    history: CopyHistory
    chosen: Chosen | None = None
    copy: tuple[str, int] | None = None
    proof: tuple[str, int] | None = None

    @property
    def is_for_wall(self) -> bool:
        """A print of a work that hangs."""
        return self.framing_days is not None

    @property
    def edition_code(self) -> str:
        """That of the edition it is of, "" for a print for the walls."""
        return (self.copy or self.proof or ("", 0))[0]

    @property
    def printed_at(self) -> datetime | None:
        """When it came out well."""
        return self.history.printed_at


@dataclass(frozen=True, slots=True)
class PrintList:
    """
    All prints, those for the walls first; `is_fixed` once the campaign is closed, before that as the money stands.

    `is_fresh` is False while edits wait for a new plan. `elsewhere` counts works that hang and are printed elsewhere;
    `plan` and `request` are what hangs and what it was planned from.
    """

    lines: tuple[PrintLine, ...]
    papers: Papers
    is_fixed: bool
    is_fresh: bool
    elsewhere: int = 0
    plan: Plan | None = None
    request: PlanRequest | None = None

    @property
    def wall(self) -> tuple[PrintLine, ...]:
        """Prints of works that hang."""
        return tuple(line for line in self.lines if line.is_for_wall)

    @property
    def copies(self) -> tuple[PrintLine, ...]:
        """Copies that are paid for."""
        return tuple(line for line in self.lines if line.copy)

    @property
    def proofs(self) -> tuple[PrintLine, ...]:
        """Artist's proofs, outside the count."""
        return tuple(line for line in self.lines if line.proof)

    @property
    def to_print(self) -> tuple[PrintLine, ...]:
        """What has not come out well."""
        return tuple(line for line in self.lines if line.printed_at is None)

    @property
    def without_paper(self) -> tuple[PrintLine, ...]:
        """What is to be printed and has no paper yet."""
        return tuple(line for line in self.to_print if line.paper is None)

    @property
    def allowances(self) -> tuple[tuple[PaperStock, int, int], ...]:
        """Each paper with how many prints go on it still, and for how many more paper is kept back."""
        counts = [(stock, sum(line.paper == stock for line in self.to_print)) for stock in self.papers.stocks]
        return tuple((stock, count, spares_of(stock, prints=count)) for stock, count in counts if count)

    @property
    def spoiled(self) -> int:
        """How many sheets were spoiled so far."""
        return sum(line.history.spoilings for line in self.lines)


def read_print_list(show: Show) -> PrintList:
    """What `show` prints at home; at most twenty queries, whatever the number of prints. None of a show called off."""
    papers = read_papers(show)
    if show.state == Show.State.CALLED_OFF:
        return PrintList((), papers, is_fixed=True, is_fresh=True)
    plan, request, is_fixed, is_fresh = _plan_of(show)
    options = chosen_options(plan, request)
    at_home = [one for one in options if papers.of_finish(one.finish_code) is not None]
    wall = _wall_lines(show, options=at_home, papers=papers)
    copies = _copy_lines(show, papers=papers)
    elsewhere = len(options) - len(at_home)
    return PrintList((*wall, *copies), papers, is_fixed, is_fresh, elsewhere, plan, request)


def read_show_prints(show: Show) -> frozenset[Chosen]:
    """Work, size and finish of every print for the walls that is made at home."""
    if show.state == Show.State.CALLED_OFF:
        return frozenset()
    plan, request, _, _ = _plan_of(show)
    at_home = set(show.finishes.filter(is_printed_at_home=True).values_list("code", flat=True))
    return frozenset(chosen_of(one) for one in chosen_options(plan, request) if one.finish_code in at_home)


def _plan_of(show: Show) -> tuple[Plan | None, PlanRequest | None, bool, bool]:
    fixed = find_fixed(show)
    if fixed is not None:
        return load_plan(fixed.plan), load_request(fixed.run.request), True, True
    standing = read_standing(show)
    return standing.now, standing.request, False, standing.is_fresh


def chosen_options(plan: Plan | None, request: PlanRequest | None) -> list[Option]:
    """The options that a plan hangs, in the order of the works."""
    if plan is None or request is None:
        return []
    hung = {(work.code, work.size_code, work.finish_code) for work in plan.works}
    return [option for work in request.works for option in work.options if chosen_of(option) in hung]


def chosen_of(option: Option) -> Chosen:
    """What names the print of an option."""
    return option.work_code, option.size_code, option.finish_code


def key_of(chosen: Chosen) -> str:
    """The key of a print for the walls; codes hold no stroke."""
    return "/".join(("wall", *chosen))


def _wall_lines(show: Show, *, options: Iterable[Option], papers: Papers) -> list[PrintLine]:
    titles = {
        code: (str(number), title) for number, (code, title) in enumerate(show.works.values_list("code", "title"), 1)
    }
    histories = read_wall_histories(show)
    lines = []
    for option in options:
        use = papers.of_finish(option.finish_code)
        assert use is not None and use.finish is not None  # only those at home come here
        label, title = titles.get(option.work_code, ("?", option.work_code))
        border = use.finish.border_mm
        lines.append(
            PrintLine(
                key=key_of(chosen_of(option)),
                label=label,
                title=title,
                detail=use.finish.name,
                width_mm=option.print_width_mm + 2 * border,
                height_mm=option.print_height_mm + 2 * border,
                border_mm=border,
                seconds=option.printer_seconds,
                framing_days=option.lead_days,
                paper=use.paper,
                history=histories.get(chosen_of(option), CopyHistory()),
                chosen=chosen_of(option),
            )
        )
    return lines


def read_wall_histories(show: Show) -> dict[Chosen, CopyHistory]:
    """What the events of the prints for the walls come to, by work, size and finish; one query."""
    found: dict[Chosen, list[tuple[str, datetime]]] = {}
    rows = ShowPrintEvent.objects.filter(show=show).order_by("pk")
    for work, size, finish, kind, moment in rows.values_list(
        "work_code", "size_code", "finish_code", "kind", "happened_at"
    ):
        found.setdefault((work, size, finish), []).append((kind, moment))
    return {chosen: read_history(events) for chosen, events in found.items()}


def _copy_lines(show: Show, *, papers: Papers) -> list[PrintLine]:
    """Copies that are paid for, edition by edition, then the artist's proofs."""
    copies = Copy.objects.filter(edition__show=show, state__in=[Copy.State.SPOKEN_FOR, Copy.State.PROOF])
    histories = read_histories(CopyEvent.objects.filter(copy__in=copies))
    found: defaultdict[tuple[int, bool], list[tuple[int, CopyHistory]]] = defaultdict(list)
    for edition_pk, state, number, pk in copies.order_by("number").values_list("edition_id", "state", "number", "pk"):
        found[edition_pk, state == Copy.State.PROOF].append((number, histories.get(pk, CopyHistory())))
    return [
        _copy_line(show, use, letter=letters_of(at), number=number, history=history, is_proof=is_proof)
        for is_proof in (False, True)
        for at, use in enumerate(papers.editions)
        if use.edition is not None
        for number, history in found[use.edition.pk, is_proof]
    ]


def _copy_line(
    show: Show, use: PaperUse, *, letter: str, number: int, history: CopyHistory, is_proof: bool
) -> PrintLine:
    edition, border = use.edition, use.border_mm
    assert edition is not None  # only editions come here
    area_mm2 = edition.width_mm * edition.height_mm
    named = (edition.code, number)
    return PrintLine(
        key=f"{'proof' if is_proof else 'copy'}/{edition.code}/{number}",
        label=f"{letter}{'P' if is_proof else ''}{number}",
        title=edition.title,
        detail=f"AP {number}/{edition.proofs}" if is_proof else f"{number}/{edition.size}",
        width_mm=edition.width_mm + 2 * border,
        height_mm=edition.height_mm + 2 * border,
        border_mm=border,
        seconds=-(-area_mm2 * show.printer_seconds_per_m2 // 1_000_000),
        framing_days=None,
        paper=use.paper,
        history=history,
        copy=None if is_proof else named,
        proof=named if is_proof else None,
    )


def letters_of(at: int) -> str:
    """
    A, B … Z, AA, AB …

    >>> letters_of(0), letters_of(25), letters_of(26), letters_of(701)
    ('A', 'Z', 'AA', 'ZZ')
    """
    ahead, last = divmod(at, 26)
    return (letters_of(ahead - 1) if ahead else "") + string.ascii_uppercase[last]

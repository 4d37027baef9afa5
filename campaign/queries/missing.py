"""What does not hang, and why: the whole list from the staircase alone, one work by planning again."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.core.cache import cache

from campaign.measures.lengths import format_size
from campaign.measures.words import upper_first
from campaign.models import Show
from campaign.planning import Option, PlanRequest, Staircase, Wording, not_offered, over_table
from campaign.planning.costing.costs import worth_points
from campaign.planning.explaining.hangers import Change, Kind
from campaign.planning.explaining.why import Absence, explain_absence, list_absences
from campaign.planning.explaining.why_words import say_change
from campaign.queries.explain import WorkFacts, find_fixed, read_work_facts
from campaign.queries.plan_request import dump_request, fingerprint_of, load_request, read_works
from campaign.queries.price_book import read_price_book, wording_of
from campaign.queries.standing import Standing, load_staircase, read_standing
from campaign.queries.trials import build_trial

KEPT_SECONDS = 3600


@dataclass(frozen=True, slots=True)
class MissingWork:
    """A work that does not hang; `words` say why or what would hang it, `refused` why single sizes cannot hang."""

    number: int
    code: str
    title: str
    picture_sha256: str
    words: tuple[str, ...]
    refused: tuple[str, ...]
    can_hang: bool


@dataclass(frozen=True, slots=True)
class MissingPage:
    """Everything that does not hang for a sum of money, of how many works."""

    money_minor: int
    works: tuple[MissingWork, ...]
    total: int
    is_fresh: bool


@dataclass(frozen=True, slots=True)
class _Ground:
    """What the answers stand on: the plan's request, its staircase and the money."""

    request: PlanRequest
    staircase: Staircase
    money_minor: int
    is_fresh: bool


def read_missing(show: Show) -> MissingPage | None:
    """The list for the wall money in hand, or for the fixed plan; None before the first staircase."""
    ground = _ground(show)
    if ground is None:
        return None
    absences = list_absences(ground.request, ground.staircase, money_minor=ground.money_minor)
    worder = _Worder(show, request=ground.request)
    return MissingPage(
        money_minor=ground.money_minor,
        works=tuple(worder.row(absence) for absence in absences),
        total=len(ground.request.works),
        is_fresh=ground.is_fresh,
    )


def find_missing_work(show: Show, *, code: str) -> MissingWork | None:
    """
    One work, with every change that would hang it; None where it hangs, is not known or nothing is worked out yet.

    Notes: plans again up to `why.MOST_STAIRCASES` times; the answer is kept for an hour for the same inputs and money.
    """
    ground = _ground(show)
    if ground is None:
        return None
    places = {work.code: place for place, work in enumerate(ground.request.works)}
    step = ground.staircase.at(ground.money_minor)
    if code not in places or step.choice[places[code]] >= 0:
        return None
    return _Worder(show, request=ground.request).row(_explained(ground, code=code))


def _explained(ground: _Ground, *, code: str) -> Absence:
    key = f"absence:{fingerprint_of(dump_request(ground.request))}:{ground.money_minor}:{code}"
    found: Absence | None = cache.get(key)
    if found is None:
        found = explain_absence(
            ground.request, ground.staircase, code=code, money_minor=ground.money_minor, build=build_trial
        )
        cache.set(key, found, KEPT_SECONDS)
    return found


def _ground(show: Show) -> _Ground | None:
    fixed = find_fixed(show) if show.closed_at is not None else None
    if fixed:
        return _Ground(load_request(fixed.run.request), load_staircase(fixed.run), fixed.money_minor, is_fresh=True)
    standing: Standing = read_standing(show, copies_free=0)
    if standing.request is None or standing.staircase is None:
        return None
    return _Ground(standing.request, standing.staircase, standing.in_hand_minor, standing.is_fresh)


class _Worder:
    """Puts absences into the show's words."""

    def __init__(self, show: Show, *, request: PlanRequest) -> None:
        self._show, self._request = show, request
        self._wording: Wording = wording_of(show)
        self._facts: Mapping[str, WorkFacts] = read_work_facts(show)
        self._finishes = dict(show.finishes.values_list("code", "name"))
        self._finish_worths = dict(show.finishes.values_list("code", "worth"))
        self._titles = {work.code: work.title for work in request.works}
        self._walls = {wall.code: wall.name for wall in request.walls}
        self._refused = not_offered(request, wording=self._wording)

    def row(self, absence: Absence) -> MissingWork:
        """One work in words."""
        number = list(self._titles).index(absence.code) + 1
        facts = self._facts.get(absence.code)
        hopeless = any(change.kind in (Kind.LACK, Kind.NO_OPTION) for change in absence.changes)
        return MissingWork(
            number=number,
            code=absence.code,
            title=absence.title,
            picture_sha256=facts.picture_sha256 if facts else "",
            words=tuple(self._say(change, work_code=absence.code) for change in absence.changes),
            refused=self._reasons(absence.code),
            can_hang=not hopeless,
        )

    def _say(self, change: Change, *, work_code: str) -> str:
        option = None
        if change.option_index >= 0:
            work = self._request.works[list(self._titles).index(work_code)]
            option = work.options[change.option_index]
        said = say_change(
            change,
            wording=self._wording,
            walls=self._walls,
            titles=self._titles,
            option_name=self._name(option) if option else "",
        )
        return f"{said}{self._need_words(change, option=option)}" if option else said

    def _name(self, option: Option) -> str:
        size = format_size(option.print_width_mm, option.print_height_mm, unit=self._wording.length_unit)
        return f"{size}, {self._finishes.get(option.finish_code, option.finish_code)}"

    def _need_words(self, change: Change, *, option: Option) -> str:
        """The need that would make the option worth enough, where its worth comes from the need."""
        facts = self._facts.get(option.work_code)
        if change.kind != Kind.WORTH or facts is None or (option.size_code, option.finish_code) in facts.own_worths:
            return ""
        finish_worth = self._finish_worths.get(option.finish_code, 0)
        factor = facts.factors.get(option.size_code, 100)
        for need in range(facts.need + 1, 6):
            if worth_points(need=need, finish_worth=finish_worth, factor_percent=factor) > change.total:
                return f" Need {need} in place of {facts.need} would do."
        return ""

    def _reasons(self, code: str) -> tuple[str, ...]:
        """Why single sizes and finishes of a work cannot hang, whatever the money."""
        work = next(work for work in self._request.works if work.code == code)
        if not work.options:
            return self._table_reasons(code)
        options = {(option.size_code, option.finish_code): option for option in work.options}
        return tuple(
            f"{self._name(options[one.size_code, one.finish_code])}: {one.reason}."
            for one in self._refused
            if one.work_code == code
        )

    def _table_reasons(self, code: str) -> tuple[str, ...]:
        """Why a work has no option at all: it has no size, or is larger than a size table. Reads the price book."""
        spec = next((s for s in read_works(self._show, book=read_price_book(self._show)) if s.code == code), None)
        if spec is None or not spec.sizes:
            return ("It has no size yet.",)
        return tuple(dict.fromkeys(f"{upper_first(one.reason)}." for one in over_table(spec, wording=self._wording)))

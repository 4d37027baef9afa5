"""What posting costs, and which ways of paying a show offers."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from campaign.models import Pledge, PostageRate, Show, Studio
from campaign.queries.cards import can_take_cards

ELSEWHERE = ("*",)


@dataclass(frozen=True, slots=True)
class Load:
    """What goes to one address together: copies, and the grams of all of them, each as it is packed."""

    copies: int
    mass_g: int = 0


def rates_in_force(rates: Iterable[PostageRate], *, today: date) -> list[PostageRate]:
    """
    Of each step of each zone the newest price whose day has come; one without a day has always been.

    A step is its zone and how far it goes, in copies or grams; `rates` keep their order.
    """
    started = [rate for rate in rates if rate.valid_from_on is None or rate.valid_from_on <= today]
    newest: dict[tuple[str, int, int], PostageRate] = {}
    for rate in sorted(started, key=lambda rate: rate.valid_from_on or date.min):
        newest[rate.zone, rate.up_to_copies, rate.up_to_g] = rate
    chosen = {id(rate) for rate in newest.values()}
    return [rate for rate in started if id(rate) in chosen]


def find_postage(rates: Sequence[PostageRate], *, country: str, load: Load, today: date) -> PostageRate | None:
    """
    The rate for `load` to `country` (ISO code): of the zone that names it, else of the zone for everywhere else.

    The smallest step that takes it, by copies or by weight; None where the artist has no price.
    """
    return smallest_step(steps_to(rates_in_force(rates, today=today), country=country), load=load)


def steps_to(current: Sequence[PostageRate], *, country: str) -> list[PostageRate]:
    """Of the rates in force those of the zone that names `country`, else of the one for everywhere else."""
    named = [rate for rate in current if country in rate.country_codes]
    return named or [rate for rate in current if rate.country_codes == ELSEWHERE]


def smallest_step(steps: Iterable[PostageRate], *, load: Load) -> PostageRate | None:
    """The smallest step of one zone that takes `load`; None where it goes beyond all of them."""
    return min((rate for rate in steps if takes(rate, load)), key=reach, default=None)


def takes(rate: PostageRate, load: Load) -> bool:
    """True where a step goes far enough for what is posted together."""
    return load.mass_g <= rate.up_to_g if rate.up_to_g else load.copies <= rate.up_to_copies


def reach(rate: PostageRate) -> tuple[int, int]:
    """How far a step goes, for sorting within a zone."""
    return rate.up_to_g, rate.up_to_copies


def list_ways(*, studio: Studio, show: Show) -> list[tuple[str, str]]:
    """The ways of paying that the studio offers, as form choices."""
    return [(way.value, way.label) for way in Pledge.Way if is_way_offered(studio=studio, show=show, way=way.value)]


def is_way_offered(*, studio: Studio, show: Show, way: str) -> bool:
    """A way is offered once the artist has filled in what it needs."""
    offered = {
        "transfer": bool(studio.iban), "cheque": bool(studio.cheque_payee), "cash": bool(studio.cash_note),
        "card": studio.takes_cards and can_take_cards(show),
    }  # fmt: skip
    return offered.get(way, False)

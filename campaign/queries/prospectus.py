"""What a sponsor's money would hang: the best show with it beside the best show without it."""

from dataclasses import dataclass

from campaign.drawing.elevation import Elevation
from campaign.drawing.elevations import draw_elevations
from campaign.models import Funder, Show, Studio
from campaign.planning import plan_at
from campaign.queries.compared import ComparedPlans, read_compared
from campaign.queries.drawn import listed_works
from campaign.queries.standing import read_standing


@dataclass(frozen=True, slots=True)
class Prospectus:
    """
    One page's facts: the sum, how many works hang with and without it, which it adds, and the walls as they would be.

    `compared` is None while there is no staircase, or where the sum buys nothing more.
    """

    show: Show
    studio: Studio
    funder: Funder
    sum_minor: int
    works_without: int
    works_with: int
    compared: ComparedPlans | None
    walls: tuple[Elevation, ...]
    pictures: tuple[tuple[str, bytes], ...]


MOST_PICTURES = 6


def read_prospectus(funder: Funder) -> Prospectus:
    """
    The facts for one sponsor or grant: its promised sum, else what was asked, on top of the wall money in hand.

    The first works it adds come with their small pictures as WEBP bytes.
    """
    show, standing = funder.show, read_standing(funder.show)
    sum_minor = funder.promised_minor or funder.asked_minor or 0
    empty = Prospectus(show, Studio.objects.get(pk=1), funder, sum_minor, 0, 0, None, (), ())
    request, staircase = standing.request, standing.staircase
    if request is None or staircase is None:
        return empty
    base_minor = max(0, standing.in_hand_minor)
    before = plan_at(request, staircase, base_minor)
    after = plan_at(request, staircase, base_minor + sum_minor)
    compared = read_compared(show, before=before, after=after, request=request)
    listed = listed_works(show)
    walls = draw_elevations(request, now=after, works=listed, unit=show.length_unit)
    return Prospectus(
        show=show,
        studio=empty.studio,
        funder=funder,
        sum_minor=sum_minor,
        works_without=len(before.works),
        works_with=len(after.works),
        compared=compared if compared.gained or compared.changed else None,
        walls=tuple(wall for wall in walls if wall.works),
        pictures=_pictures(show, titles=[row.title for row in compared.gained]),
    )


def _pictures(show: Show, *, titles: list[str]) -> tuple[tuple[str, bytes], ...]:
    rows = show.works.filter(title__in=titles, picture__isnull=False).order_by("position", "pk")
    found = rows.values_list("title", "picture__thumbnail_webp")[:MOST_PICTURES]
    return tuple((title, bytes(webp)) for title, webp in found)

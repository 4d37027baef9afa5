"""The next sensible act for a show that is still being prepared, one sentence for all its pages."""

from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from campaign.models import Edition, Finish, Level, PostageRate, Show, Size, Wall, Work


@dataclass(frozen=True, slots=True)
class NextAct:
    """What to do, and why or how; `page` is the name of the address where it is done."""

    words: str
    why: str
    page: str


WALLS = NextAct("measure the first wall", "its length, its height, and what stands in the way", "campaign:new_wall")
WORKS = NextAct("list a work", "with the sizes it could be printed in", "campaign:new_work")
SIZES = NextAct("give a work a size", "without one it can never hang", "campaign:works")
FINISHES = NextAct(
    "add a finish", "the plainest you would show; its costs come from the price book", "campaign:new_finish"
)
PRINTER = NextAct("give the printer time", "without it nothing that is printed at home can hang", "campaign:settings")
PRINT = NextAct("add the print", "what people order fills the walls", "campaign:new_edition")
POSTAGE = NextAct("say what postage costs", "only countries with a price can order", "campaign:postage")
LEVELS = NextAct("name a level", "a sum, and what you promise once it is there", "campaign:levels")
PUBLISH = NextAct(
    "look it all through once more, then publish the page", "until then nobody can order", "campaign:fund"
)


def find_next_act(show: Show) -> NextAct | None:
    """What is still missing most; None once the page is public. One query."""
    if show.state != Show.State.DRAFT:
        return None
    here = {"show": OuterRef("pk")}
    is_there = Show.objects.filter(pk=show.pk).values_list(
        Exists(Wall.objects.filter(**here)),
        Exists(Work.objects.filter(**here)),
        Exists(Size.objects.filter(work__show=OuterRef("pk"))),
        Exists(Finish.objects.filter(**here)),
        Exists(Finish.objects.filter(is_printed_at_home=False, **here)),
        Exists(Edition.objects.filter(**here)),
        Exists(PostageRate.objects.filter(**here)),
        Exists(Level.objects.filter(**here)),
    )
    walls, works, sizes, finishes, finishes_elsewhere, editions, postage, levels = is_there.get()
    steps = (
        (walls, WALLS), (works, WORKS), (sizes, SIZES), (finishes, FINISHES),
        (show.printer_seconds > 0 or finishes_elsewhere, PRINTER),
        (editions, PRINT), (postage, POSTAGE), (levels, LEVELS),
    )  # fmt: skip
    return next((act for is_done, act in steps if not is_done), PUBLISH)

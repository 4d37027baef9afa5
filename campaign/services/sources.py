"""Tagged links: which letter, poster or friend brought an order. Nothing about visitors is kept."""

from datetime import datetime

from django.db import transaction
from django.utils.text import slugify

from campaign.errors import NotReady
from campaign.models import Show, Source

MOST = 60


@transaction.atomic(durable=True)
def make_source(*, show: Show, name: str, now: datetime) -> Source:
    """
    A link with a tag of its own, made from `name`.

    Writes: Source.
    Raises: NotReady for a name without letters or digits, and for more links than anybody can tell apart.
    Repeat: the same name again gives the link that is already there.
    """
    tag = slugify(name)[:30].strip("-")
    if not tag:
        raise NotReady("The tag is made from the name’s plain letters and digits; this name has none.")
    known = Source.objects.filter(show=show, tag=tag).first()
    if known:
        return known
    if Source.objects.filter(show=show).count() >= MOST:
        raise NotReady(f"{MOST} links are as many as anybody can tell apart.")
    source, _ = Source.objects.get_or_create(show=show, tag=tag, defaults={"name": name, "made_at": now})
    return source


def find_source(*, show: Show, tag: str) -> Source | None:
    """The link that a visitor followed; None for no tag, or one that nobody made."""
    return Source.objects.filter(show=show, tag=tag[:30]).first() if tag and "\0" not in tag else None

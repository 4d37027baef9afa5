"""An empty show, for those who do not read one in from a folder."""

from dataclasses import asdict, dataclass
from datetime import date, datetime

from django.db import transaction

from campaign.errors import NotReady
from campaign.models import Show, Studio
from campaign.services.inputs import free_code
from campaign.services.show_settings import check_dates


@dataclass(frozen=True, slots=True)
class NewShowWish:
    """What a show must say from the first moment on; everything else has a value that can be changed later."""

    title: str
    venue_name: str
    country: str
    time_zone: str
    currency: str
    length_unit: str
    opens_at: datetime
    closes_at: datetime
    hang_on: date
    opening_at: datetime
    last_day_on: date
    posting_by_on: date
    cancel_until_on: date
    venue_address: str = ""
    printer_seconds: int = 0


@transaction.atomic(durable=True)
def create_show(*, wish: NewShowWish) -> Show:
    """
    Make a show that only the artist sees, without walls, works or a print.

    Writes: Show.
    Raises: NotReady for dates that cannot follow each other, and while the studio has no name yet.
    Repeat: the same wish again gives the show that is there.
    """
    if not Studio.objects.exists():
        raise NotReady("Say first who the studio is: name and e-mail address.")
    known = Show.objects.filter(state=Show.State.DRAFT, **asdict(wish)).first()
    if known:
        return known
    taken = set(Show.objects.values_list("code", flat=True))
    show = Show(code=free_code(wish.title, taken=taken, otherwise="show"), **asdict(wish))
    check_dates(show)
    show.full_clean()
    show.save(force_insert=True)
    return show

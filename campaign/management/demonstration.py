"""Loads the demonstration show through the same services that serve a real one."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from campaign.demonstration.folder import write_demonstration_folder
from campaign.models import Show
from campaign.services.campaigns import publish_show
from campaign.services.shows import import_show
from campaign.showfolder.folder import read_show_folder

SHOW_CODE = "demo"


def load_demonstration(*, folder: Path, now: datetime, say: Callable[[str], None]) -> bool:
    """
    Write the demonstration folder, import it, publish it.

    `say` is told what is going on, a line each. False if the show was there already; it then stays as it is.
    """
    if Show.objects.filter(code=SHOW_CODE).exists():
        return False
    say("Drawing the works of the demonstration show …")
    write_demonstration_folder(folder, today=now.astimezone(ZoneInfo("Europe/Berlin")).date())
    say("Importing its folder …")
    show = import_show(folder=read_show_folder(folder), now=now).show
    publish_show(show=show, now=now)
    return True

"""Scenes with paper: a roll or sheets set up, works that hang, prints laid out, all through the real services."""

import uuid

from django.contrib.auth.models import Group
from django.test import Client

from campaign.services.plans import refresh_staircase
from fulfilment.queries.print_list import read_print_list
from fulfilment.services.nests import lay_out
from fulfilment.services.paper_stock import PaperWish, save_paper
from tests.builders import NOW
from tests.fulfilment.scene import LATER, close, order

ROLL = {
    "name": "Cotton roll", "kind": "roll", "width_mm": 610, "margin_mm": 5, "lead_mm": 20, "tail_mm": 20, "gap_mm": 4,
    "there_mm": 900, "pack_mm": 10_000, "price_minor": 11_800, "spoil_bp": 500,
}  # fmt: skip
SHEETS = {
    "name": "Cotton sheets", "kind": "sheets", "width_mm": 500, "height_mm": 700, "margin_mm": 5, "gap_mm": 4,
    "there_sheets": 2, "pack_sheets": 5, "price_minor": 4_900, "spoil_bp": 500,
}  # fmt: skip


def set_up(show, *, now=NOW, **changes):
    """A paper; a roll unless `kind` says sheets."""
    start = SHEETS if changes.get("kind") == "sheets" else ROLL
    return save_paper(show=show, stock=None, wish=PaperWish(**(start | changes)), now=now)


def hung_show(show, *, orders=5):
    """A closed show with copies ordered and works that hang."""
    for _ in range(orders):
        order(show, copies=3)
    return close(show)


def framed_show(show):
    """The same, whose frames take four working days and whose prints fill several print days."""
    show.finishes.filter(code="frame").update(lead_days=4)
    show.printer_seconds, show.printer_seconds_per_m2, show.print_hours_milli = 30_000, 12_000, 1_500
    show.inputs_version += 1
    show.save()
    refresh_staircase(show=show, now=NOW)
    return hung_show(show)


def lay(show, *, now=LATER, there=None, key=None):
    """Everything that is to be printed laid out."""
    return lay_out(show=show, there=there or {}, request_key=key or uuid.uuid4(), now=now)


def wall_prints(show):
    """Work, size and finish of the prints for the walls."""
    return [line.chosen for line in read_print_list(show).wall]


def helper_client(django_user_model):
    """A browser in which somebody who prints and packs is signed in."""
    bob = django_user_model.objects.create_user("bob", "bob@example.org", "a long enough password")
    bob.groups.add(Group.objects.get_or_create(name="helpers")[0])
    browser = Client()
    browser.force_login(bob)
    return browser

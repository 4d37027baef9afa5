"""Marks of prints for the walls: told for good, refused where the plan hangs nothing of the kind, once an act."""

import uuid

import pytest
from django.db import IntegrityError, transaction

from fulfilment.errors import NotInThePrintList
from fulfilment.models import ShowPrintEvent
from fulfilment.queries.print_list import read_print_list
from fulfilment.services.show_prints import spoil_show_prints, tick_show_prints, untick_show_prints
from tests.fulfilment.paper_scene import hung_show, wall_prints
from tests.fulfilment.scene import LATER


@pytest.fixture
def chosen(show):
    hung_show(show)
    return wall_prints(show)


def kinds():
    return list(ShowPrintEvent.objects.values_list("kind", flat=True))


def printed(show):
    return {line.chosen for line in read_print_list(show).wall if line.printed_at}


def test_ticking_twice_is_one_event(show, chosen):
    assert tick_show_prints(show=show, chosen=chosen[:2], by="ada", now=LATER) == 2
    assert tick_show_prints(show=show, chosen=chosen[:2], by="ada", now=LATER) == 0
    assert printed(show) == set(chosen[:2])
    assert kinds() == ["printed", "printed"]


def test_a_mark_is_taken_back_and_stays_told(show, chosen):
    tick_show_prints(show=show, chosen=chosen[:1], by="ada", now=LATER)
    assert untick_show_prints(show=show, chosen=chosen, by="bob", now=LATER) == 1
    assert untick_show_prints(show=show, chosen=chosen, by="bob", now=LATER) == 0
    assert printed(show) == set()
    assert kinds() == ["printed", "not_printed"]


def test_a_spoiled_print_is_counted_once_an_act_and_again_with_the_next(show, chosen):
    key = uuid.uuid4()
    asked = {"show": show, "chosen": chosen[:1], "note": "banding", "by": "ada", "now": LATER}
    assert spoil_show_prints(request_key=key, **asked) == 1
    assert spoil_show_prints(request_key=key, **asked) == 0
    assert spoil_show_prints(request_key=uuid.uuid4(), **asked) == 1
    [line] = [line for line in read_print_list(show).wall if line.chosen == chosen[0]]
    assert line.history.spoilings == 2


def test_what_the_plan_does_not_hang_is_refused_and_nothing_is_marked(show, chosen):
    strange = ("w01", "no such size", "board")
    for act in (tick_show_prints, spoil_show_prints):
        more = {"note": "", "request_key": uuid.uuid4()} if act is spoil_show_prints else {}
        with pytest.raises(NotInThePrintList):
            act(show=show, chosen=[chosen[0], strange], by="ada", now=LATER, **more)
    assert kinds() == []


def test_events_cannot_be_changed_or_taken_away(show, chosen):
    tick_show_prints(show=show, chosen=chosen[:1], by="ada", now=LATER)
    with pytest.raises(IntegrityError), transaction.atomic():
        ShowPrintEvent.objects.update(by="nobody")
    with pytest.raises(IntegrityError), transaction.atomic():
        ShowPrintEvent.objects.all()._raw_delete("default")
    assert ShowPrintEvent.objects.get().by == "ada"

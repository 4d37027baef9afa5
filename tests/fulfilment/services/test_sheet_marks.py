"""A whole sheet at once: all of it or nothing, works, copies and proofs together, once an act."""

import uuid

import pytest

from campaign.models import Copy
from fulfilment.errors import CopiesInClosedParcels, CopiesNotSpokenFor, NotInThePrintList
from fulfilment.models import CopyEvent, Impression, ParcelCopy, ShowPrintEvent
from fulfilment.queries.print_list import read_print_list
from fulfilment.services.sheet_marks import SheetPrints, spoil_sheet, tick_sheet
from fulfilment.services.show_prints import tick_show_prints
from tests.fulfilment.paper_scene import hung_show, wall_prints
from tests.fulfilment.scene import LATER, end, print_all, work


@pytest.fixture
def chosen(show):
    """Prints for the walls of a closed show whose edition has two artist's proofs."""
    edition = show.editions.get()
    edition.proofs = 2
    edition.save()
    Copy.objects.bulk_create(Copy(edition=edition, number=number, state=Copy.State.PROOF) for number in (1, 2))
    hung_show(show)
    return wall_prints(show)


def state(show):
    return {line.label: (line.printed_at is not None, line.history.spoilings) for line in read_print_list(show).lines}


def spoil(show, prints, *, key=None):
    return spoil_sheet(
        show=show, prints=prints, note="head strike", by="ada", request_key=key or uuid.uuid4(), now=LATER
    )


def test_a_whole_sheet_is_ticked_works_copies_and_proofs_together(show, chosen):
    prints = SheetPrints(chosen[:1], {"harbour": [1, 3]}, {"harbour": [2]})
    assert tick_sheet(show=show, prints=prints, by="ada", now=LATER) == 4
    assert tick_sheet(show=show, prints=prints, by="ada", now=LATER) == 0
    printed = {label for label, (is_printed, _) in state(show).items() if is_printed}
    first = next(line.label for line in read_print_list(show).wall if line.chosen == chosen[0])
    assert printed == {first, "A1", "A3", "AP2"}
    assert list(Impression.objects.values_list("copy__number", "copy__state")) == [(1, "spoken_for"), (3, "spoken_for")]
    assert set(CopyEvent.objects.values_list("kind", "by")) == {("printed", "ada")}


@pytest.mark.parametrize("act", ["tick", "spoil"])
def test_a_sheet_with_something_that_nobody_has_is_not_marked_at_all(show, chosen, act):
    strange = SheetPrints(chosen[:1], {"harbour": [1, 20]}, {"harbour": [1]})
    gone = SheetPrints([("w01", "no such size", "board")], {"harbour": [1]}, {})
    for prints, refusal in ((strange, CopiesNotSpokenFor), (gone, NotInThePrintList)):
        with pytest.raises(refusal):
            if act == "tick":
                tick_sheet(show=show, prints=prints, by="ada", now=LATER)
            else:
                spoil(show, prints)
    assert not ShowPrintEvent.objects.exists() and not CopyEvent.objects.exists() and not Impression.objects.exists()


def test_a_spoiled_sheet_is_to_be_printed_again_with_all_that_was_on_it(show, chosen):
    prints = SheetPrints(chosen[:1], {"harbour": [1]}, {"harbour": [1]})
    tick_sheet(show=show, prints=SheetPrints(chosen[:1], {"harbour": [1]}), by="ada", now=LATER)
    key = uuid.uuid4()
    assert spoil(show, prints, key=key) == 3
    assert spoil(show, prints, key=key) == 0
    spoiled = {label for label, now in state(show).items() if now == (False, 1)}
    assert len(spoiled) == 3 and {"A1", "AP1"} <= spoiled
    assert not Impression.objects.exists()
    assert set(CopyEvent.objects.filter(kind="spoiled").values_list("note", flat=True)) == {"head strike"}


def test_a_sheet_with_a_copy_in_a_closed_parcel_is_not_spoiled(show, chosen, engine):
    tick_show_prints(show=show, chosen=chosen, by="", now=LATER)
    print_all(show)
    assert work(end(show)) == "done"
    ParcelCopy.objects.get(copy__number=1).parcel.__class__.objects.update(packed_at=LATER, state="packed")
    with pytest.raises(CopiesInClosedParcels):
        spoil(show, SheetPrints(chosen[:1], {"harbour": [1]}))
    assert set(ShowPrintEvent.objects.values_list("kind", flat=True)) == {"printed"}

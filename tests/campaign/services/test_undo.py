"""Any edit of Measure and then its taking back: the rows are what they were, keys and all, and once is once."""

import json
import time
from datetime import date

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from campaign.errors import InUse, PlanIsFixed, StepIsPast
from campaign.models import (
    BlockedArea,
    Finish,
    GiftInKind,
    LastStep,
    OptionWorth,
    Picture,
    PriceStep,
    Show,
    Size,
    SizePrice,
    Work,
    WorkPair,
)
from campaign.services.finishes import FinishWish, RecipeWish, remove_finish, save_finish
from campaign.services.input_rows import TABLES, are_alike, read_rows
from campaign.services.plans import touch_inputs
from campaign.services.prices import PriceWish, remove_price, save_price
from campaign.services.show_costs import CostWish, set_show_costs
from campaign.services.show_settings import change_settings
from campaign.services.undo import drop_idle_step, keep_step, take_back
from campaign.services.walls import BlockedWish, WallWish, remove_wall, save_wall
from campaign.services.works import SizeWish, WorkWish, remove_work, save_work
from tests.builders import NOW, make_draft

WALL = WallWish(name="West", width_mm=3000, height_mm=2500, centre_mm=1450, end_margin_mm=100)


def furnished():
    """A draft that has at least one row in every table that Measure edits."""
    show = make_draft()
    one, other = show.works.get(code="w01"), show.works.get(code="w03")
    paper, frame = show.price_items.get(code="paper"), show.finishes.get(code="frame")
    paper.priced_on, paper.is_sold_in_packs = date(2026, 1, 5), True
    paper.save()
    PriceStep.objects.create(item=paper, from_packs=5, price_minor=2_000)
    SizePrice.objects.create(item=show.price_items.get(code="fittings"), width_mm=500, height_mm=400, price_minor=90)
    OptionWorth.objects.create(work=one, size=one.sizes.first(), finish=frame, worth=77)
    WorkPair.objects.create(show=show, kind="apart", one=one, other=other)
    GiftInKind.objects.create(show=show, giver="Paul", item=paper, quantity_milli=500)
    Work.objects.filter(pk=other.pk).update(pinned_wall=show.walls.get(code="east"), pinned_middle_mm=900)
    return show


def step_of(show):
    return LastStep.objects.get(show=show)


def rows_of(show):
    return read_rows(Show.objects.get(pk=show.pk))


def undo(show):
    return take_back(show=show, step=step_of(show).pk)


def pick(rows, number):
    found = list(rows)
    return found[number % len(found)]


def do(show, *, what, number, size):
    """One edit: `what` of the acts, on the `number`th row there is, with figures made from `size`."""
    door = BlockedWish(kind="door", name="", x_mm=size, y_mm=0, width_mm=900, height_mm=2000)
    wall = WallWish(name=f"W{number}", width_mm=3000 + size, height_mm=2500, centre_mm=1450, end_margin_mm=0,
                    blocked=(door,))  # fmt: skip
    work = WorkWish(title=f"T{number}", need=1 + number % 5, sizes=(SizeWish(300 + size, 200), SizeWish(400, 300)),
                    finish_codes=("board",))  # fmt: skip
    finish = FinishWish(name=f"F{number}", worth=number % 100, lines=(RecipeWish("ink", "print_area", 1000, size),))
    price = PriceWish(name=f"P{number}", unit="m", price_minor=size)
    acts = {
        "add wall": lambda: save_wall(show=show, wall=None, wish=wall),
        "change wall": lambda: save_wall(show=show, wall=pick(show.walls.all(), number), wish=wall),
        "remove wall": lambda: remove_wall(show=show, wall=pick(show.walls.all(), number)),
        "add work": lambda: save_work(show=show, work=None, wish=work),
        "change work": lambda: save_work(show=show, work=pick(show.works.all(), number), wish=work),
        "remove work": lambda: remove_work(show=show, work=pick(show.works.exclude(code="w02"), number)),
        "add finish": lambda: save_finish(show=show, finish=None, wish=finish),
        "change finish": lambda: save_finish(show=show, finish=pick(show.finishes.all(), number), wish=finish),
        "remove finish": lambda: remove_finish(show=show, finish=show.finishes.get(code="frame")),
        "add price": lambda: save_price(show=show, item=None, wish=price),
        "change price": lambda: save_price(show=show, item=pick(show.price_items.all(), number), wish=price),
        "costs": lambda: set_show_costs(show=show, costs=[CostWish("Ice", size), CostWish("Cards", 5)]),
        "settings": lambda: change_settings(show=show, values={"min_gap_mm": 60 + size, "title": f"T{number}"}),
    }
    acts[what]()


ACTS = ("add wall", "change wall", "remove wall", "add work", "change work", "remove work", "add finish",
        "change finish", "remove finish", "add price", "change price", "costs", "settings")  # fmt: skip


class TestAnyEdit(TestCase):
    """Hypothesis rolls each example back, so every one starts from a fresh show."""

    @settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(what=st.sampled_from(ACTS), number=st.integers(0, 9), size=st.integers(1, 500))
    def test_taken_back_leaves_the_rows_as_they_were_and_done_again_as_the_edit_left_them(self, what, number, size):
        show = furnished()
        before = rows_of(show)
        do(show, what=what, number=number, size=size)
        after = rows_of(show)
        assert after != before
        version = Show.objects.get(pk=show.pk).inputs_version
        undo(show)
        assert rows_of(show) == before
        assert Show.objects.get(pk=show.pk).inputs_version == version + 1
        undo(show)
        assert rows_of(show) == after
        undo(show)
        assert rows_of(show) == before


@pytest.fixture
def draft(db):
    return furnished()


def test_every_table_of_the_draft_is_kept_and_the_rest_of_the_world_is_not(draft):
    make_draft(code="other", title="Another show")
    rows = rows_of(draft)
    assert {name: len(table) - 1 for name, table in rows.items() if name not in ("Show",)} == {
        model.__name__: model._default_manager.filter(**{path: draft.pk}).count() for model, path in TABLES
    }
    assert min(len(table) for table in rows.values()) == 2
    assert json.loads(json.dumps(rows)) == rows


def test_the_sentence_says_what_was_done_and_then_what_was_taken_back(draft):
    save_wall(show=draft, wall=None, wish=WALL)
    assert step_of(draft).words == "The wall “West” was added"
    assert undo(draft) == "The wall “West” was added"
    assert step_of(draft).words == "Taken back: The wall “West” was added"
    assert undo(draft) == "The wall “West” was added"
    assert step_of(draft).words == "The wall “West” was added"
    remove_wall(show=draft, wall=draft.walls.get(code="west"))
    save_work(show=draft, work=None, wish=WorkWish(title="x" * 160, need=1, sizes=()))
    assert len(step_of(draft).words) <= 200


def test_the_same_button_twice_takes_back_once(draft):
    before = rows_of(draft)
    save_wall(show=draft, wall=None, wish=WALL)
    step = step_of(draft).pk
    assert take_back(show=draft, step=step) == take_back(show=draft, step=step)
    assert rows_of(draft) == before


@pytest.mark.parametrize("what", [act for act in ACTS if act.startswith("change") or act in ("costs", "settings")])
def test_a_form_sent_twice_is_one_step_even_where_its_rows_are_written_anew(draft, what):
    before = rows_of(draft)
    for _ in range(3):
        do(draft, what=what, number=1, size=50)
    assert rows_of(draft) != before
    undo(draft)
    assert rows_of(draft) == before


def test_rows_are_alike_whatever_their_keys_but_not_with_other_figures(draft):
    rows = rows_of(draft)
    renumbered = rows | {"BlockedArea": [rows["BlockedArea"][0], *([7, *row[1:]] for row in rows["BlockedArea"][1:])]}
    assert are_alike(rows, renumbered)
    assert not are_alike(rows, rows | {"BlockedArea": rows["BlockedArea"][:1]})
    assert not are_alike(rows, rows | {"Wall": rows["Wall"][:2]})


def test_a_step_that_changed_nothing_is_forgotten_and_the_one_before_it_offered(draft):
    before = rows_of(draft)
    save_price(show=draft, item=draft.price_items.get(code="ink"), wish=PriceWish("Ink", "m2", 800))
    real = rows_of(draft)
    cost = draft.show_costs.get()
    assert cost.amount_minor == 3_500
    save_work(
        show=draft,
        work=(work := draft.works.get(code="w02")),
        wish=WorkWish(
            title=work.title, need=work.need, year=work.year, medium=work.medium, alt_text=work.alt_text,
            sizes=tuple(SizeWish(s.width_mm, s.height_mm, s.factor_percent) for s in work.sizes.all()),
        ),
    )  # fmt: skip
    assert rows_of(draft) == real
    drop_idle_step(draft)
    assert step_of(draft).words == "The price of “Ink” was changed"
    drop_idle_step(draft)
    undo(draft)
    assert rows_of(draft) == before


def test_an_older_step_or_inputs_changed_behind_it_are_refused(draft):
    save_wall(show=draft, wall=None, wish=WALL)
    first = step_of(draft).pk
    save_price(show=draft, item=None, wish=PriceWish("Tape", "m", 40))
    rows = rows_of(draft)
    with pytest.raises(StepIsPast):
        take_back(show=draft, step=first)
    touch_inputs(draft)  # as reading in a show folder does
    with pytest.raises(StepIsPast):
        undo(draft)
    assert rows_of(draft) == rows
    LastStep.objects.all().delete()
    with pytest.raises(StepIsPast):
        take_back(show=draft, step=first)


def test_nothing_is_taken_back_once_the_campaign_is_closed(draft):
    save_wall(show=draft, wall=None, wish=WALL)
    Show.objects.filter(pk=draft.pk).update(state=Show.State.CLOSED, closed_at=NOW)
    with pytest.raises(PlanIsFixed):
        undo(draft)
    assert draft.walls.filter(code="west").exists()
    change_settings(show=draft, values={"title": "Ebb"})
    assert step_of(draft).words == "The wall “West” was added"


def test_a_new_work_that_became_an_edition_is_not_taken_off_silently(draft):
    work = save_work(show=draft, work=None, wish=WorkWish(title="New", need=1, sizes=(SizeWish(300, 200),)))
    draft.editions.update(work=work)
    with pytest.raises(InUse) as refusal:
        undo(draft)
    assert refusal.value.what == "New"


def test_a_new_wall_to_which_a_work_was_pinned_goes_with_the_pin(draft):
    wall = save_wall(show=draft, wall=None, wish=WALL)
    Work.objects.filter(code="w01").update(pinned_wall=wall, pinned_middle_mm=500)
    undo(draft)
    work = draft.works.get(code="w01")
    assert (work.pinned_wall, work.pinned_middle_mm) == (None, None)


def test_a_wall_taken_out_lets_go_of_what_was_pinned_to_it(draft):
    remove_wall(show=draft, wall=draft.walls.get(code="east"))
    work = draft.works.get(code="w03")
    assert (work.pinned_wall, work.pinned_middle_mm) == (None, None)
    undo(draft)
    assert draft.works.get(code="w03").pinned_middle_mm == 900


def test_a_work_comes_back_without_a_picture_that_is_gone(draft):
    picture = Picture.objects.create(source_sha256="a", sha256="b", webp=b"", thumbnail_webp=b"", width_px=1,
                                     height_px=1)  # fmt: skip
    Work.objects.filter(code="w01").update(picture=picture)
    remove_work(show=draft, work=draft.works.get(code="w01"))
    picture.delete()
    undo(draft)
    assert draft.works.get(code="w01").picture is None


def test_a_removed_price_comes_back_with_its_steps_and_table(draft):
    before = rows_of(draft)
    tape = save_price(show=draft, item=None, wish=PriceWish("Tape", "m", 40))
    PriceStep.objects.create(item=tape, from_packs=2, price_minor=30)
    SizePrice.objects.create(item=tape, width_mm=5, height_mm=5, price_minor=3)
    full = rows_of(draft)
    remove_price(show=draft, item=tape)
    assert rows_of(draft) == before
    undo(draft)
    assert rows_of(draft) == full


def test_a_step_is_kept_in_as_many_queries_for_forty_works_as_for_none(draft, django_assert_num_queries):
    works = Work.objects.bulk_create(
        Work(show=draft, code=f"x{number}", title=f"X {number}", position=9 + number) for number in range(34)
    )
    Size.objects.bulk_create(
        Size(work=work, code=f"{width}x200", width_mm=width, height_mm=200)
        for work in works
        for width in (300, 400, 500)
    )
    Finish.objects.bulk_create(Finish(show=draft, code=f"f{number}", name="F") for number in range(4))
    wall = draft.walls.get(code="north")
    BlockedArea.objects.bulk_create(
        BlockedArea(wall=wall, kind="other", x_mm=number, y_mm=0, width_mm=9, height_mm=9) for number in range(20)
    )
    for _ in range(2):  # the rows of every table; the last step read, replaced
        with transaction.atomic(), django_assert_num_queries(len(TABLES) + 3):
            keep_step(draft, doing="Nothing", version=draft.inputs_version)
    times = sorted(_time(lambda: rows_of(draft)) for _ in range(7))
    print(f"reading the rows of 40 works: {times[3] * 1000:.1f} ms")


def _time(act):
    started = time.process_time()
    act()
    return time.process_time() - started

"""Promises of levels: measured when written, checked whenever the staircase moves, mended by the artist."""

import pytest

from campaign.errors import NotInThisState, NotReady
from campaign.models import Level, PriceItem
from campaign.queries.promises import check_promises, list_broken_promises
from campaign.queries.standing import read_standing
from campaign.services.campaigns import LevelWish, close_campaign, set_levels
from campaign.services.plans import refresh_quick, refresh_staircase, touch_inputs
from campaign.services.promises import measure_new_promises, move_level, promise_less
from tests.builders import NOW, make_draft


def make_all_dearer(show, *, times=2):
    """Every price of the book doubled, and the best shows worked out again."""
    for item in PriceItem.objects.filter(show=show):
        PriceItem.objects.filter(pk=item.pk).update(price_minor=item.price_minor * times)
    touch_inputs(show)
    refresh_staircase(show=show, now=NOW)


def wishes_of(show):
    return [LevelWish(level.name, level.promise, level.money_minor) for level in show.levels.all()]


def works_at(show, money_minor):
    step = read_standing(show).staircase.at(money_minor)
    return sum(index >= 0 for index in step.choice), step.worth


def test_the_first_staircase_measures_what_was_written_before_it(db):
    show = make_draft()
    assert set(show.levels.values_list("promised_works", flat=True)) == {0}
    assert list_broken_promises(show) == ()
    refresh_staircase(show=show, now=NOW)
    for level in show.levels.all():
        assert (level.promised_works, level.promised_worth) == works_at(show, level.money_minor)
        assert level.promised_works > 0
    assert list_broken_promises(show) == ()


def test_a_dearer_price_breaks_promises_and_says_where_they_hold(show):
    before = {level.name: level.promised_works for level in show.levels.all()}
    make_all_dearer(show)
    broken = list_broken_promises(show)
    assert broken
    for one in broken:
        assert one.judged.promised_works == before[one.level.name]
        works, worth = works_at(show, one.level.money_minor)
        assert (works, worth) < (one.judged.promised_works, one.judged.promised_worth)
        assert one.public_words == one.level.promise
        if one.judged.holds_at_minor:
            held_works, held_worth = works_at(show, one.judged.holds_at_minor)
            assert held_works >= one.judged.promised_works
            assert held_worth >= one.judged.promised_worth


def test_the_sentence_names_works_sums_and_both_ways_out(show):
    level = show.levels.get(name="A corner")
    Level.objects.filter(pk=level.pk).update(promised_works=6, promised_worth=level.promised_worth)
    (one,) = list_broken_promises(show)
    works, _ = works_at(show, level.money_minor)
    assert one.sentence.startswith(f"“A corner” promised 6 works; at €100.00 only {works} hang now: raise it to €")
    assert one.sentence.endswith(f" or promise {works}.")
    Level.objects.filter(pk=level.pk).update(promised_works=works, promised_worth=10**6)
    (one,) = list_broken_promises(show)
    assert one.is_weaker
    assert "no sum of money keeps it" in one.sentence
    assert one.move_to_minor is None


def test_a_draft_has_no_public_words(db):
    show = make_draft()
    refresh_staircase(show=show, now=NOW)
    make_all_dearer(show)
    assert {one.public_words for one in list_broken_promises(show)} == {""}


def test_words_that_stay_keep_their_measure_and_new_words_are_measured(show):
    before = {level.name: (level.promised_works, level.promised_worth) for level in show.levels.all()}
    make_all_dearer(show)
    wishes = wishes_of(show)
    wishes[1] = LevelWish(wishes[1].name, "Fewer works than I hoped.", wishes[1].money_minor)
    wishes[2] = LevelWish("Another name", wishes[2].promise, wishes[2].money_minor + 5000)
    first, second, third = set_levels(show=show, levels=wishes)
    assert (first.promised_works, first.promised_worth) == before["A corner"]
    assert (second.promised_works, second.promised_worth) == works_at(show, second.money_minor)
    assert (third.promised_works, third.promised_worth) == before["The room"]


def test_a_level_without_words_is_measured_anew_when_its_sum_changes(show):
    set_levels(show=show, levels=[LevelWish("Bare", "", 25_000)])
    make_all_dearer(show)
    (kept,) = set_levels(show=show, levels=wishes_of(show))
    assert list_broken_promises(show)
    (moved,) = set_levels(show=show, levels=[LevelWish("Bare", "", 26_000)])
    assert moved.promised_works <= kept.promised_works
    assert list_broken_promises(show) == ()


def test_moving_a_level_to_where_it_holds_mends_it(show):
    make_all_dearer(show)
    one = next(one for one in list_broken_promises(show) if one.move_to_minor)
    move_level(show=show, money_minor=one.level.money_minor, to_minor=one.move_to_minor)
    assert one.level.name not in {other.level.name for other in list_broken_promises(show)}
    with pytest.raises(NotReady):
        move_level(show=show, money_minor=one.level.money_minor, to_minor=one.move_to_minor)


def test_a_level_is_not_moved_onto_another(show):
    with pytest.raises(NotReady):
        move_level(show=show, money_minor=10_000, to_minor=25_000)


def test_promising_less_leaves_the_words_alone(show):
    make_all_dearer(show)
    for one in list_broken_promises(show):
        promise_less(show=show, money_minor=one.level.money_minor)
        promise_less(show=show, money_minor=one.level.money_minor)
    assert list_broken_promises(show) == ()
    assert show.levels.get(name="The room").promise == "All six, framed."


def test_nothing_is_promised_less_without_a_staircase_or_a_level(db):
    show = make_draft()
    with pytest.raises(NotReady):
        promise_less(show=show, money_minor=10_000)
    with pytest.raises(NotReady):
        promise_less(show=show, money_minor=1)


def test_after_the_close_levels_stay_and_nothing_is_checked(show):
    level = show.levels.first()
    Level.objects.filter(pk=level.pk).update(promised_works=6, promised_worth=1)
    assert list_broken_promises(show)
    close_campaign(show=show, now=NOW)
    show.refresh_from_db()
    assert list_broken_promises(show) == ()
    with pytest.raises(NotInThisState):
        promise_less(show=show, money_minor=level.money_minor)


def test_nothing_is_said_of_promises_until_the_exact_staircase_is_there(show):
    for item in PriceItem.objects.filter(show=show):
        PriceItem.objects.filter(pk=item.pk).update(price_minor=item.price_minor * 2)
    touch_inputs(show)
    assert refresh_quick(show=show, now=NOW).is_quick
    assert list_broken_promises(show) == check_promises(read_standing(show)) == ()
    refresh_staircase(show=show, now=NOW)
    assert list_broken_promises(show) == check_promises(read_standing(show)) != ()


def dearer_and_only_quick(show):
    """Prices doubled, and the best shows found fast only."""
    for item in PriceItem.objects.filter(show=show):
        PriceItem.objects.filter(pk=item.pk).update(price_minor=item.price_minor * 2)
    touch_inputs(show)
    assert refresh_quick(show=show, now=NOW).is_quick


def new_words(show):
    level, *others = wishes_of(show)
    return [LevelWish(level.name, "Other words.", level.money_minor), *others]


def test_new_words_wait_for_the_exact_staircase_to_be_measured(show):
    dearer_and_only_quick(show)
    first, *others = set_levels(show=show, levels=new_words(show))
    assert (first.promised_works, first.promised_worth) == (0, 0)
    assert all(level.promised_worth for level in others)
    refresh_staircase(show=show, now=NOW)
    first.refresh_from_db()
    assert (first.promised_works, first.promised_worth) == works_at(show, first.money_minor)


def test_new_words_are_not_measured_on_the_staircase_before_an_edit(show):
    touch_inputs(show)
    first, *_ = set_levels(show=show, levels=new_words(show))
    assert (first.promised_works, first.promised_worth) == (0, 0)


def test_new_words_are_measured_when_an_edit_is_taken_back_and_the_answer_is_known(show):
    """Nothing is worked out then, so the known exact staircase has to measure them."""
    dearer_and_only_quick(show)
    set_levels(show=show, levels=new_words(show))
    for item in PriceItem.objects.filter(show=show):
        PriceItem.objects.filter(pk=item.pk).update(price_minor=item.price_minor // 2)
    touch_inputs(show)
    assert not refresh_quick(show=show, now=NOW).is_quick
    first = show.levels.first()
    assert (first.promised_works, first.promised_worth) == works_at(show, first.money_minor)


def test_less_is_promised_on_an_exact_staircase_only(show):
    dearer_and_only_quick(show)
    before = list(show.levels.values_list("promised_works", "promised_worth"))
    with pytest.raises(NotReady, match="worked out"):
        promise_less(show=show, money_minor=10_000)
    assert list(show.levels.values_list("promised_works", "promised_worth")) == before


def test_a_staircase_that_an_edit_overtook_measures_nothing(show):
    set_levels(show=show, levels=wishes_of(show))
    overtaken = type(show).objects.get(pk=show.pk)
    staircase = read_standing(show).staircase
    show.levels.update(promised_works=0, promised_worth=0)
    touch_inputs(show)
    measure_new_promises(overtaken, staircase=staircase)
    assert set(show.levels.values_list("promised_works", flat=True)) == {0}

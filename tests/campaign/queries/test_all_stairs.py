"""The whole staircase: near the money first, then every step once, folded by round sums."""

from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from campaign.queries.all_stairs import MOST_FOLDS, fold_rows, near_rows, read_all_stairs
from campaign.queries.stairs import StairRow, list_stairs
from campaign.queries.standing import read_standing
from campaign.services.plans import refresh_staircase
from tests.builders import NOW, make_draft, pay, place


def rows_of(count, *, here=0, levels=()):
    return [
        StairRow(
            money_minor=37 * n * n, works=n // 3, worth=n, is_here=n == here, is_reached=n <= here,
            levels=("A level",) if n in levels else (),
        )
        for n in range(count)
    ]  # fmt: skip


@given(st.integers(0, 300))
def test_every_step_stands_in_one_fold_and_folds_are_few(count):
    rows = rows_of(count)
    folds = fold_rows(rows)
    assert [row for fold in folds for row in fold.rows] == rows
    assert len(folds) <= MOST_FOLDS
    for fold in folds:
        assert all(fold.from_minor <= row.money_minor < fold.below_minor for row in fold.rows)
        assert fold.least_works <= fold.most_works


def test_the_steps_near_the_money_come_with_those_of_the_levels_and_the_last():
    near = near_rows(rows_of(200, here=50, levels=(10, 120)))
    assert [row.worth for row in near] == [10, *range(46, 57), 120, 199]
    assert near_rows([]) == ()


def test_a_level_stands_on_the_step_that_it_buys(show):
    pay(place(show))
    standing = read_standing(show)
    rows = list_stairs(standing)
    for one in standing.levels:
        (row,) = [row for row in rows if one.level.name in row.levels]
        assert row.money_minor == standing.staircase.at(one.level.money_minor).money_minor


def test_the_page_has_the_drawing_and_every_step(ada_client, show):
    page = read_all_stairs(show)
    text = ada_client.get(reverse("campaign:staircase", args=[show.code])).content.decode()
    assert "<svg" in text
    assert text.count('<th scope="row" class="n">') >= page.steps + len(page.near)
    assert text.count("<details") == len(page.folds)


def test_where_no_sum_buys_anything_the_page_says_what_to_do_instead_of_an_empty_drawing(ada_client, db):
    show = make_draft()
    url = reverse("campaign:staircase", args=[show.code])
    assert "being worked out for the first time" in ada_client.get(url).content.decode()
    show.works.all().delete()
    show.levels.all().delete()
    refresh_staircase(show=show, now=NOW)
    text = ada_client.get(url).content.decode()
    assert "<figure" not in text
    assert reverse("campaign:missing", args=[show.code]) in text

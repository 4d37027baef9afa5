"""Statements that are put together once: they give what the query itself gives."""

from datetime import date

import pytest

from campaign.models import ClosedDay, PriceItem, Work
from campaign.queries import money, pairs, plan_request, price_book, show_days
from campaign.queries.prepared import Prepared
from campaign.services import input_rows
from tests import builders

EVERY = {
    f"{module.__name__}.{name}": asked
    for module in (money, pairs, plan_request, price_book, show_days)
    for name, asked in vars(module).items()
    if isinstance(asked, Prepared)
} | {f"rows of {model.__name__}": asked for model, asked in input_rows._ASKED}


@pytest.mark.parametrize("name", EVERY)
def test_rows_are_those_of_the_query_in_its_order(show, name):
    asked = EVERY[name]
    builders.pay(builders.place(show))
    ClosedDay.objects.create(show=show, day_on=date(2026, 5, 4))
    PriceItem.objects.filter(show=show).update(priced_on=date(2026, 1, 31), is_sold_in_packs=True)
    expected = [tuple(row) for row in asked._asked(show.pk)]

    assert asked(show.pk) == expected
    assert [list(map(type, row)) for row in asked(show.pk)] == [list(map(type, row)) for row in expected]


def test_another_show_gets_its_own_rows(show):
    works = Prepared(lambda key: Work.objects.filter(show=key).values_list("title"))
    assert works(show.pk)
    assert works(show.pk + 1) == []

    Work.objects.filter(show=show).update(title="Seen again")
    assert set(works(show.pk)) == {("Seen again",)}


def test_it_is_one_query_each_time(show, django_assert_num_queries):
    works = Prepared(lambda key: Work.objects.filter(show=key).values_list("title"))
    for _ in range(2):
        with django_assert_num_queries(1):
            works(show.pk)


def test_a_query_that_forgets_its_key_is_found_out(db):
    with pytest.raises(AssertionError, match="the key"):
        Prepared(lambda _: Work.objects.values_list("title"))(1)

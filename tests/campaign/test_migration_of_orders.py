"""Orders of one edition become orders with a line, and back; what the old rows cannot hold stays."""

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from campaign.models import Copy, PledgeLine
from campaign.queries.basket import LineWish
from tests.builders import add_small_edition, make_show, place

BEFORE = [("campaign", "0013_the_sweep_gives_a_sign_of_life")]
AFTER = [("campaign", "0016_pledges_are_sums_of_their_lines")]
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _come_back():
    newest = MigrationExecutor(connection).loader.graph.leaf_nodes()
    yield
    MigrationExecutor(connection).migrate(newest)


def migrate(target):
    executor = MigrationExecutor(connection)
    executor.migrate(target)
    return MigrationExecutor(connection).loader.project_state(target).apps


def sums(apps):
    names = ("copies", "prints_minor", "make_cost_minor", "pack_cost_minor")
    return list(apps.get_model("campaign", "Pledge").objects.order_by("pk").values_list(*names))


def test_lines_go_into_the_old_rows_and_come_back():
    show = make_show()
    add_small_edition(show)
    place(show, copies=2)
    place(show, lines=(LineWish("pocket", 1),))
    place(show, copies=0)
    before = list(PledgeLine.objects.values_list("edition__code", "copies", "prints_minor", "make_cost_minor"))
    held = list(Copy.objects.exclude(pledge=None).order_by("pk").values_list("pk", "pledge", "line__edition__code"))

    old = migrate(BEFORE)
    pledges = old.get_model("campaign", "Pledge").objects.order_by("pk")
    assert list(pledges.values_list("edition__code", "copies")) == [("harbour", 2), ("pocket", 1), (None, 0)]
    assert not old.get_model("campaign", "PledgeLine").objects.exists()
    assert not old.get_model("campaign", "Copy").objects.exclude(line=None).exists()
    kept = sums(old)

    new = migrate(AFTER)
    lines = new.get_model("campaign", "PledgeLine").objects.order_by("pk")
    assert list(lines.values_list("edition__code", "copies", "prints_minor", "make_cost_minor")) == before
    copies = new.get_model("campaign", "Copy").objects.exclude(pledge=None).order_by("pk")
    assert list(copies.values_list("pk", "pledge", "line__edition__code")) == held
    assert sums(new) == kept


@pytest.mark.parametrize("is_for_friend", [False, True])
def test_what_the_old_rows_cannot_hold_stays_as_it_is(is_for_friend):
    show = make_show()
    add_small_edition(show)
    friend = {"country_code": "FR", "street_address": "8 rue X", "postal_code": "75008", "city": "Paris"}
    one = (LineWish("harbour", 1, "Wim", friend),) if is_for_friend else (LineWish("harbour", 1), LineWish("pocket", 1))
    place(show, lines=one)
    with pytest.raises(RuntimeError, match="the older rows cannot hold that"):
        migrate(BEFORE)
    assert PledgeLine.objects.count() == len(one)

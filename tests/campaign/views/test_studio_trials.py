"""What is only looked at (missing works, what if, two shows), landing places as levels, promises that broke."""

import pytest
from django.urls import reverse

from campaign.models import Level, PriceItem, Show, Size, StaircaseRun, Wall, Work
from campaign.queries.standing import read_standing
from campaign.services.plans import refresh_staircase, touch_inputs
from tests.builders import NOW, make_draft, pay, place
from tests.campaign.views.studio_forms import filled, words_of

pytestmark = pytest.mark.usefixtures("clock")


def page(client, name, /, *args, **query):
    return client.get(reverse(f"campaign:{name}", args=["tideline", *args]), query)


def make_all_dearer(show):
    for item in PriceItem.objects.filter(show=show):
        PriceItem.objects.filter(pk=item.pk).update(price_minor=item.price_minor * 3)
    touch_inputs(show)
    refresh_staircase(show=show, now=NOW)


def test_what_does_not_hang_is_listed_with_what_would_hang_it(ada_client, show):
    for _ in range(2):
        pay(place(show))
    answer = page(ada_client, "missing")
    listed = answer.context["page"]
    standing = read_standing(show)
    hanging = {work.code for work in standing.now.works}
    assert [work.code for work in listed.works] == [w.code for w in standing.request.works if w.code not in hanging]
    assert listed.works
    assert all("of wall money on" in work.words[0] for work in listed.works)
    assert b"What does not hang, and what would hang it" in page(ada_client, "standing").content


def test_a_work_too_wide_for_every_wall_says_by_how_much(ada_client, show):
    work = Work.objects.create(show=show, code="vast", title="Vast", need=5, position=99)
    Size.objects.create(work=work, code="l", width_mm=5000, height_mm=400)
    Work.objects.create(show=show, code="none", title="Sizeless", position=100)
    touch_inputs(show)
    refresh_staircase(show=show, now=NOW)
    listed = {work.code: work for work in page(ada_client, "missing").context["page"].works}
    assert not listed["vast"].can_hang
    assert listed["vast"].words[0].startswith("It is too wide: the longest stretch that is high enough")
    assert len(listed["vast"].refused) == 2
    assert listed["none"].refused == ("It has no size yet.",)
    assert b"It is too wide" in page(ada_client, "missing_work", "vast").content


def test_one_missing_work_says_what_would_hang_it(ada_client, show):
    pay(place(show))
    code = page(ada_client, "missing").context["page"].works[0].code
    first = page(ada_client, "missing_work", code)
    assert first.context["work"].code == code
    assert first.context["work"].words
    assert page(ada_client, "missing_work", code).context["work"] == first.context["work"]


def test_a_work_that_hangs_has_nothing_missing(ada_client, show):
    for _ in range(8):
        pay(place(show))
    code = read_standing(show).now.works[0].code
    assert b"It hangs with the money in hand" in page(ada_client, "missing_work", code).content


def test_the_page_says_when_all_hangs(ada_client, show):
    for _ in range(16):
        pay(place(show))
    assert len(read_standing(show).now.works) == 6
    assert b"All 6 works hang" in page(ada_client, "missing").content


def test_what_if_moves_the_staircase_and_stores_nothing(ada_client, show):
    pay(place(show, copies=3))
    before = [list(model.objects.order_by("pk").values()) for model in (Show, PriceItem, Wall, StaircaseRun, Level)]
    answer = page(
        ada_client, "what_if", item="paper", price_minor="96", wall="north", wall_width_mm="250", finish="frame",
        finish_worth="30", money_minor="90",
    )  # fmt: skip
    found = answer.context["what_if"]
    assert found.then_minor == 9_000
    assert found.full_then[2] < found.full[2]
    assert found.drawn.firm != found.drawn.pencil
    after = [list(model.objects.order_by("pk").values()) for model in (Show, PriceItem, Wall, StaircaseRun, Level)]
    assert after == before


def test_what_if_with_nothing_changed_is_the_show_as_it_is(ada_client, show):
    pay(place(show))
    found = page(ada_client, "what_if", item="").context["what_if"]
    assert found.compared.comparison.is_same
    assert found.full == found.full_then
    assert found.drawn.firm == found.drawn.pencil


def test_less_printer_time_hangs_fewer_prints(ada_client, show):
    found = page(ada_client, "what_if", printer_seconds="2 h", money_minor="600").context["what_if"]
    assert found.then.worth < read_standing(show).staircase.at(60_000).worth


def test_another_commission_leaves_the_staircase_and_moves_the_prices(ada_client, show):
    for _ in range(8):
        pay(place(show))
    assert b"no prices to compare" in page(ada_client, "what_if", commission_bp="50 %").content
    Work.objects.filter(show=show).update(net_minor=10_000)
    asking = page(ada_client, "what_if", commission_bp="50 %").context["asking"]
    assert asking.works == len(read_standing(show).now.works)
    assert asking.price_then_minor == 20_000 * asking.works
    assert asking.price_minor < asking.price_then_minor


def test_what_if_asks_for_the_other_half_of_a_change(ada_client, show):
    errors = page(ada_client, "what_if", item="paper", wall_width_mm="300").context["form"].errors
    assert errors["price_minor"] == ["Say what it would be."]
    assert errors["wall"] == ["Say which one it would be."]
    errors = page(ada_client, "what_if", item="gold", finish="frame", finish_worth="101").context["form"].errors
    assert set(errors) == {"item", "finish_worth"}


def test_two_sums_are_set_side_by_side(ada_client, show):
    first = page(ada_client, "compare").context
    assert first["sums"]["after_minor"] == 10_000
    found = page(ada_client, "compare", before_minor="100", after_minor="600").context["compared"]
    assert found.comparison.after.worth > found.comparison.before.worth
    assert {row.before for row in found.gained} <= {""}
    assert page(ada_client, "compare", before_minor="", after_minor="x").context["compared"] is None


def test_a_landing_place_becomes_a_level_with_a_promise(ada_client, show):
    landing = page(ada_client, "standing").context["page"].staircase.landings[-1].landing
    url = reverse("campaign:levels", args=["tideline"])
    opened = ada_client.get(url, {"at": landing.money_minor})
    assert f"{opened.context['suggested']['name']}".endswith(("works", "work"))
    row = next(form for form in opened.context["rows"] if form["money_minor"].initial == landing.money_minor)
    assert "hang" in row["promise"].value()
    assert not show.levels.filter(money_minor=landing.money_minor).exists()
    ada_client.post(url, filled(opened, save="1"))
    level = show.levels.get(money_minor=landing.money_minor)
    assert (level.promised_works, level.promised_worth) == (landing.works, landing.worth)
    assert ada_client.get(url, {"at": "nonsense"}).context["suggested"] is None


def test_a_broken_promise_is_told_on_every_page_where_it_matters(ada_client, show):
    assert b"does not hold" not in page(ada_client, "standing").content
    make_all_dearer(show)
    for name in ("standing", "levels", "fund"):
        answer = page(ada_client, name).content.decode()
        assert "not hold any more" in answer, name
        assert "The public page still says: “All six, framed.”" in answer, name


def test_a_draft_is_told_before_it_is_published(ada_client, db):
    show = make_draft()
    refresh_staircase(show=show, now=NOW)
    make_all_dearer(show)
    answer = page(ada_client, "fund").content.decode()
    assert answer.index("not hold any more") < answer.index("Publish the page")
    assert "public page still says" not in answer


def test_a_broken_promise_is_mended_by_one_button(ada_client, show):
    make_all_dearer(show)
    url = reverse("campaign:mend_level", args=["tideline"])
    broken = page(ada_client, "levels").context["broken"]
    one = next(one for one in broken if one.move_to_minor)
    answer = ada_client.post(url, {"money_minor": one.level.money_minor, "act": "move"}, follow=True)
    assert words_of(answer) == ["The level is moved to where its promise holds."]
    assert show.levels.filter(name=one.level.name, money_minor=one.move_to_minor).exists()
    assert words_of(ada_client.post(url, {"money_minor": one.level.money_minor, "act": "move"}, follow=True)) == []
    for other in ada_client.get(reverse("campaign:levels", args=["tideline"])).context["broken"]:
        ada_client.post(url, {"money_minor": other.level.money_minor, "act": "less"})
    assert page(ada_client, "levels").context["broken"] == ()


def test_mending_nonsense_changes_nothing(ada_client, show):
    url = reverse("campaign:mend_level", args=["tideline"])
    before = list(show.levels.values())
    ada_client.post(url, {"money_minor": "x", "act": "move"})
    ada_client.post(url, {"money_minor": "10000", "act": "burn"})
    (said,) = words_of(ada_client.post(url, {"money_minor": "77", "act": "less"}, follow=True))
    assert said.startswith("There is no level at this sum")
    assert list(show.levels.values()) == before

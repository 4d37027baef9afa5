"""Works as contact sheet and as table, a work's place, own worths and ties."""

import pytest
from django.urls import reverse

from campaign.models import OptionWorth, Show, Wall, Work, WorkPair
from campaign.services.campaigns import close_campaign
from tests.builders import NOW, pay, place
from tests.campaign.views.studio_forms import filled, words_of
from tests.campaign.views.test_studio_measure import edit

pytestmark = pytest.mark.usefixtures("clock")
WORKS = "/studio/tideline/measure/works/"
TABLE = f"{WORKS}?as=table"


def table_data(page, **changes):
    """What a browser would send back from the table, with `changes` typed over it."""
    table = page.context["table"]
    data = {field.html_name: field.value() for field in table.management_form}
    for form in table.forms:
        for field in form:
            if field.name != "must_hang":
                data[field.html_name] = field.value()
            elif field.value():
                data[field.html_name] = "on"
    return data | changes


def test_the_contact_sheet_says_what_hangs(ada_client, show):
    for _ in range(3):
        pay(place(show, copies=1))
    page = ada_client.get(WORKS)
    hanging = [line.work.title for line in page.context["lines"] if line.hangs]
    assert 0 < len(hanging) < 6
    text = page.content.decode()
    assert text.count("tag-firm") == len(hanging)
    assert text.count("tag-pencil") == 6 - len(hanging)
    assert 'href="/studio/tideline/measure/works/?as=table"' in text


def test_while_the_shows_are_worked_out_the_sheet_says_so(ada_client, show):
    Show.objects.update(inputs_version=99)
    assert ada_client.get(WORKS).content.decode().count("being worked out") == 7


def test_once_closed_the_sheet_shows_the_fixed_plan_and_no_button(ada_client, show):
    close_campaign(show=show, now=NOW)
    page = ada_client.get(TABLE)
    assert not any(line.hangs for line in page.context["lines"])
    assert b"Save the table" not in page.content
    ada_client.post(TABLE, table_data(page, **{"works-0-need": "5"}))
    assert show.works.get(code="w01").need != 5


def test_the_table_changes_all_works_at_once_in_one_step(ada_client, show):
    page = ada_client.get(TABLE)
    data = table_data(page, **{"works-0-need": "5", "works-1-must_hang": "on", "works-2-series": "Nets"})
    version = Show.objects.get(pk=show.pk).inputs_version
    for _ in range(2):
        answer = ada_client.post(TABLE, data, follow=True)
        assert answer.redirect_chain == [(TABLE, 302)]
    first, second, third = show.works.all()[:3]
    assert (first.need, second.must_hang, third.series) == (5, True, "Nets")
    assert Show.objects.get(pk=show.pk).inputs_version == version + 2
    assert "Take back: The table of works was changed" in answer.content.decode()
    assert words_of(answer)[-1].startswith("Saved. ")


def test_a_row_that_cannot_be_read_is_refused_with_the_values_kept(ada_client, show):
    page = ada_client.get(TABLE)
    answer = ada_client.post(TABLE, table_data(page, **{"works-0-need": "9", "works-1-series": "x" * 81}))
    assert answer.status_code == 200
    text = answer.content.decode()
    assert "Need of Low water" in text
    assert 'href="#id_works-0-need"' in text
    assert "x" * 81 in text
    assert not show.works.filter(series__startswith="x").exists()


@pytest.mark.parametrize("data", [{}, {"works-TOTAL_FORMS": "x"}, {"works-TOTAL_FORMS": "2"}])
def test_nonsense_instead_of_a_table_is_no_error(ada_client, show, data):
    assert ada_client.post(TABLE, data).status_code in (200, 302)
    assert show.works.count() == 6


def test_a_work_that_went_meanwhile_is_passed_over(ada_client, show):
    page = ada_client.get(TABLE)
    data = table_data(page, **{"works-1-need": "1"})
    show.works.filter(code="w01").delete()
    ada_client.post(TABLE, data)
    assert show.works.get(code="w02").need == 1
    assert show.works.count() == 5


def test_buttons_move_a_work_and_keep_what_is_typed(ada_client, show):
    page = ada_client.get(TABLE)
    ada_client.post(TABLE, table_data(page, down="w01", **{"works-3-series": "Ferries"}))
    assert [work.code for work in show.works.all()][:3] == ["w02", "w01", "w03"]
    assert show.works.get(code="w04").series == "Ferries"
    page = ada_client.get(TABLE)
    answer = ada_client.post(TABLE, table_data(page, up="w01"), follow=True)
    assert [work.code for work in show.works.all()][:3] == ["w01", "w02", "w03"]
    assert "Take back: The work “Low water” was moved up" in answer.content.decode()
    for name, code in (("up", "w01"), ("down", "w06"), ("up", "nobody")):
        ada_client.post(TABLE, table_data(ada_client.get(TABLE), **{name: code}))
        assert [work.code for work in show.works.all()] == [f"w{n:02}" for n in range(1, 7)]


def test_a_work_gets_its_place_its_ink_and_its_sum(ada_client, show):
    changes = {"must_hang": "on", "coverage_percent": "60", "net_minor": "180,50", "pinned_wall_code": "east"}
    edit(ada_client, "work", "tideline", "w01", **changes, pinned_middle_mm="1,2 m")
    work = show.works.get(code="w01")
    assert (work.must_hang, work.coverage_percent, work.net_minor) == (True, 60, 18_050)
    assert (work.pinned_wall.code, work.pinned_middle_mm, work.pinned_row) == ("east", 1_200, 0)
    edit(ada_client, "work", "tideline", "w01", pinned_wall_code="", pinned_middle_mm="", net_minor="")
    work = show.works.get(code="w01")
    assert (work.pinned_wall, work.pinned_middle_mm, work.net_minor) == (None, None, None)


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"pinned_middle_mm": "1 m"}, "pinned_wall_code", "Choose the wall"),
        ({"pinned_wall_code": "east", "pinned_middle_mm": "9 m"}, "pinned_middle_mm", "East wall is not that long"),
        ({"pinned_wall_code": "east", "pinned_row": "1"}, "pinned_row", "East wall has one row only"),
        ({"pinned_wall_code": "moon"}, "pinned_wall_code", "moon is not one of the available choices"),
        ({"coverage_percent": "1001"}, "coverage_percent", "a whole number from 0 to 400"),
        ({"net_minor": "much"}, "net_minor", "Found “much”"),
    ],
)
def test_a_place_that_cannot_be_is_refused_at_the_field(ada_client, show, changes, field, words):
    answer = edit(ada_client, "work", "tideline", "w01", **changes)
    (error,) = answer.context["form"].errors[field]
    assert words in error


def test_the_lower_row_of_a_wall_with_two(ada_client, show):
    Wall.objects.filter(code="east").update(rows=2, row_height_mm=700, row_gap_mm=100)
    edit(ada_client, "work", "tideline", "w01", pinned_wall_code="east", pinned_row="1")
    assert show.works.get(code="w01").pinned_row == 1


def test_own_worths_replace_the_reckoned_ones_and_go_back(ada_client, show):
    url = reverse("campaign:worths", args=["tideline", "w01"])
    page = ada_client.get(url)
    assert [(way.size.code, way.finish.code, way.reckoned) for way, _ in page.context["form"].lines] == [
        ("400x300", "board", 80), ("400x300", "frame", 180), ("600x450", "board", 104), ("600x450", "frame", 234),
    ]  # fmt: skip
    data = {"400x300:frame": "500", "600x450:board": ""}
    for _ in range(2):
        answer = ada_client.post(url, data, follow=True)
        own = OptionWorth.objects.get()
        assert (own.work.code, own.size.code, own.finish.code, own.worth) == ("w01", "400x300", "frame", 500)
    assert "Take back: The worth of “Low water” was changed" in answer.content.decode()
    answer = ada_client.post(url, {"400x300:frame": "lots"})
    assert "Found “lots”" in answer.context["form"].errors["400x300:frame"][0]
    ada_client.post(url, {"400x300:frame": " "})
    assert not OptionWorth.objects.exists()


def test_codes_with_points_do_not_share_a_field(ada_client, show):
    """Size “1” in finish “2.3” and size “1.2” in finish “3” are two ways."""
    work = show.works.get(code="w01")
    work.sizes.filter(code="400x300").update(code="1")
    work.sizes.filter(code="600x450").update(code="1.2")
    show.finishes.filter(code="board").update(code="2.3")
    show.finishes.filter(code="frame").update(code="3")
    url = reverse("campaign:worths", args=["tideline", "w01"])
    assert len(set(ada_client.get(url).context["form"].fields)) == 4
    ada_client.post(url, {"1:2.3": "7", "1.2:3": "8"})
    own = OptionWorth.objects.order_by("worth").values_list("size__code", "finish__code", "worth")
    assert list(own) == [("1", "2.3", 7), ("1.2", "3", 8)]


def test_two_works_are_tied_once_from_either_side_and_untied(ada_client, show):
    for one, other in (("w01", "w03"), ("w03", "w01"), ("w01", "w03")):
        answer = ada_client.post(
            reverse("campaign:tie", args=["tideline", one]), {"kind": "apart", "other": other}, follow=True
        )
    pair = WorkPair.objects.get()
    assert {pair.one.code, pair.other.code, pair.kind} == {"w01", "w03", "apart"}
    ada_client.post(reverse("campaign:tie", args=["tideline", "w01"]), {"kind": "together", "other": "w03"})
    assert WorkPair.objects.count() == 2
    page = ada_client.get(reverse("campaign:work", args=["tideline", "w03"]))
    assert [(tie.words, tie.other.code) for tie in page.context["ties"]] == [
        ("not side by side", "w01"), ("on the same wall", "w01"),
    ]  # fmt: skip
    for _ in range(2):
        answer = ada_client.post(
            reverse("campaign:untie", args=["tideline", "w03"]), {"kind": "apart", "other": "w01"}, follow=True
        )
    assert [pair.kind for pair in WorkPair.objects.all()] == ["together"]
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "data", [{}, {"kind": "apart", "other": "w01"}, {"kind": "x", "other": "w02"}, {"kind": "apart", "other": "\0"}]
)
def test_a_tie_to_nothing_or_to_itself_is_refused(ada_client, show, data):
    answer = ada_client.post(reverse("campaign:tie", args=["tideline", "w01"]), data, follow=True)
    assert "Choose another work" in words_of(answer)[0]
    ada_client.post(reverse("campaign:untie", args=["tideline", "w01"]), data)
    assert not WorkPair.objects.exists()
    assert show.walls.exists()


def test_a_new_work_has_no_ties_yet(ada_client, show):
    page = ada_client.get(reverse("campaign:new_work", args=["tideline"]))
    assert b"Ties to other works" not in page.content
    data = filled(page, title="Ebb", **{"sizes-0-size": "30 x 20 cm"})
    ada_client.post(reverse("campaign:new_work", args=["tideline"]), data)
    assert Work.objects.get(title="Ebb").coverage_percent == 100

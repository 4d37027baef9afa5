"""The room Measure: what is typed is read as people write it, and its effect is said at once."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from campaign.services.campaigns import close_campaign
from tests.builders import NOW, pay, place
from tests.campaign.views.studio_forms import filled, words_of

pytestmark = pytest.mark.usefixtures("clock")


def edit(client, name, /, *args, **changes):
    """Open a form, type `changes` over it, send it, follow to the next page."""
    url = reverse(f"campaign:{name}", args=args)
    return client.post(url, filled(client.get(url), **changes), follow=True)


def test_a_wall_is_measured_in_any_unit_and_the_effect_is_told(ada_client, show):
    for _ in range(5):
        pay(place(show, copies=1))
    answer = edit(ada_client, "wall", "tideline", "north", width_mm="2,5 m", **{"areas-0-DELETE": "on"})
    assert answer.redirect_chain == [(reverse("campaign:walls", args=["tideline"]), 302)]
    wall = show.walls.get(code="north")
    assert wall.width_mm == 2500
    assert not wall.blocked_areas.exists()
    (said,) = words_of(answer)
    assert said.startswith("Saved. ")
    show.refresh_from_db()
    assert show.staircase_runs.first().inputs_version == show.inputs_version


def test_the_same_save_twice_changes_nothing_more(ada_client, show):
    edit(ada_client, "wall", "tideline", "east", name="East")
    answer = edit(ada_client, "wall", "tideline", "east", name="East")
    assert words_of(answer) == ["Saved. The plan stays as it was: no work hangs (being proved)."]
    assert show.walls.count() == 2
    assert show.staircase_runs.count() == 2  # the one from before, and one with the new name


def test_a_wall_that_makes_no_sense_is_refused_at_the_field_with_the_values_kept(ada_client, show):
    answer = edit(ada_client, "wall", "tideline", "north", width_mm="wide", height_mm="1 m", centre_mm="145 cm")
    assert answer.status_code == 200
    errors = answer.context["form"].errors
    assert errors["width_mm"] == ["Found “wide”; write a length such as 600, 60 cm, 24 in or 2' 6\"."]
    assert errors["centre_mm"] == ["The centre line must be lower than the wall is high."]
    assert b'value="wide"' in answer.content
    assert b'href="#id_width_mm"' in answer.content
    assert show.walls.get(code="north").width_mm == 5200


def test_a_door_beyond_the_end_of_the_wall_is_refused_at_its_row(ada_client, show):
    answer = edit(ada_client, "wall", "tideline", "north", **{"areas-0-x_mm": "500 cm"})
    assert answer.context["rows"].forms[0].errors["width_mm"] == ["It reaches beyond the right end of the wall."]


def test_more_rows_keep_what_is_typed_and_write_nothing(ada_client, show):
    answer = edit(ada_client, "wall", "tideline", "north", name="Typed", more="1", **{"areas-0-x_mm": "nonsense"})
    assert answer.context["form"]["name"].value() == "Typed"
    assert answer.context["rows"].forms[0]["x_mm"].value() == "nonsense"
    assert len(answer.context["rows"].forms) == 3
    assert not answer.context["form"].errors
    assert show.walls.get(code="north").name == "North wall"


def test_a_new_wall_hangs_works_that_had_no_room(ada_client, show):
    url = reverse("campaign:new_wall", args=["tideline"])
    data = filled(ada_client.get(url), name="Behind the desk", width_mm="12 ft", height_mm="2.7 m")
    ada_client.post(url, data)
    wall = show.walls.get(code="behind-the-desk")
    assert (wall.width_mm, wall.centre_mm) == (3658, 1450)


def test_a_wall_is_taken_out_only_after_asking(ada_client, show):
    url = reverse("campaign:delete_wall", args=["tideline", "east"])
    assert b"Take \xe2\x80\x9cEast wall\xe2\x80\x9d out" in ada_client.get(url).content
    assert show.walls.count() == 2
    ada_client.post(url)
    assert show.walls.count() == 1
    assert ada_client.post(url).status_code == 404


def test_a_work_gets_sizes_finishes_and_a_picture(ada_client, show):
    file = io.BytesIO()
    Image.new("RGB", (60, 40), "teal").save(file, "PNG")
    picture = SimpleUploadedFile("x.png", file.getvalue())
    changes = {"sizes-2-size": '24x36"', "sizes-2-factor_percent": "150", "finish_codes": ["frame"], "picture": picture}
    answer = edit(ada_client, "work", "tideline", "w01", title="Low water II", **changes)
    assert answer.redirect_chain
    work = show.works.get(code="w01")
    assert work.title == "Low water II"
    assert [(s.width_mm, s.height_mm, s.factor_percent) for s in work.sizes.all()][-1] == (610, 914, 150)
    assert [finish.code for finish in work.finishes.all()] == ["frame"]
    assert work.picture.width_px == 60


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"picture": SimpleUploadedFile("x.png", b"no picture")}, "picture", "This is no JPEG, PNG or WEBP picture"),
        ({"title": ""}, "title", "This field is required."),
    ],
)
def test_a_work_that_cannot_be_read_is_refused_at_the_field(ada_client, show, changes, field, words):
    answer = edit(ada_client, "work", "tideline", "w01", **changes)
    assert words in answer.context["form"].errors[field][0]


@pytest.mark.parametrize("rows", ["0", "-6582"])
def test_a_browser_that_sends_no_rows_is_told_at_the_first(ada_client, show, rows):
    answer = edit(ada_client, "work", "tideline", "w01", **{"sizes-TOTAL_FORMS": rows, "sizes-0-size": ""})
    assert answer.status_code == 200
    assert answer.context["rows"].forms[0].errors["size"]


def test_a_work_needs_a_size_and_each_size_once(ada_client, show):
    answer = edit(ada_client, "work", "tideline", "w01", **{"sizes-0-DELETE": "on", "sizes-1-DELETE": "on"})
    assert "at least one size" in answer.context["rows"].forms[0].errors["size"][0]
    answer = edit(ada_client, "work", "tideline", "w01", **{"sizes-2-size": "40 x 30 cm"})
    assert answer.context["rows"].forms[2].errors["size"] == ["This size stands here already."]


def test_what_is_in_use_stays_and_the_sentence_says_why(ada_client, show):
    for name, code, user in (
        ("delete_work", "w02", "Harbour light"),
        ("delete_finish", "board", "Mud and sky"),
        ("delete_price", "paper", "Pinned on board"),
    ):
        answer = ada_client.post(reverse(f"campaign:{name}", args=["tideline", code]), follow=True)
        (said,) = words_of(answer)
        assert f"because “{user}”" in said
    assert show.works.filter(code="w02").exists()
    assert show.finishes.filter(code="board").exists()
    assert show.price_items.filter(code="paper").exists()


def test_a_price_change_is_told_in_money(ada_client, show):
    answer = edit(ada_client, "price", "tideline", "moulding", price_minor="15,60 €")
    assert show.price_items.get(code="moulding").price_minor == 1560
    (said,) = words_of(answer)
    assert "the fullest show is 6 works for €" in said
    assert " instead of 6 works for €" in said


def test_a_recipe_line_begins_with_its_item_and_is_once_by_itself(ada_client, show):
    edit(ada_client, "finish", "tideline", "board", **{"lines-3-item_code": "fittings", "lines-3-basis": "piece"})
    line = show.finishes.get(code="board").recipe_lines.last()
    assert (line.item.code, line.quantity_milli, line.waste_bp) == ("fittings", 1000, 0)
    answer = edit(ada_client, "finish", "tideline", "board", worth="101")
    assert answer.context["form"].errors["worth"] == ["Found “101”; write a whole number from 0 to 100."]


def test_show_costs_are_one_table(ada_client, show):
    edit(
        ada_client,
        "show_costs",
        "tideline",
        **{"costs-0-DELETE": "on", "costs-1-name": "Ice", "costs-1-amount_minor": "8"},
    )
    assert list(show.show_costs.values_list("name", "amount_minor")) == [("Ice", 800)]
    answer = edit(ada_client, "show_costs", "tideline", **{"costs-1-name": "No sum"})
    assert answer.context["rows"].forms[1].errors["amount_minor"] == ["This field is required."]


def test_settings_are_read_in_the_shows_own_zone(ada_client, show):
    edit(ada_client, "settings", "tideline", closes_at="2026-04-02T20:00", contingency_bp="5 %", min_gap_mm="15 cm")
    show.refresh_from_db()
    assert show.closes_at.isoformat() == "2026-04-02T18:00:00+00:00"
    assert (show.contingency_bp, show.min_gap_mm) == (500, 150)
    answer = edit(ada_client, "settings", "tideline", opens_at="2026-05-01T20:00")
    assert answer.context["form"].errors["closes_at"] == ["Orders must close after they open."]
    answer = edit(ada_client, "settings", "tideline", hang_on="2026-06-01")
    assert "must follow each other" in answer.context["form"].non_field_errors()[0]
    answer = edit(ada_client, "settings", "tideline", opens_at="2026-03-29T02:30")
    assert "summer time" in answer.context["form"].errors["opens_at"][0]


def test_once_the_campaign_is_closed_the_plan_s_inputs_stay(ada_client, show):
    close_campaign(show=show, now=NOW)
    answer = edit(ada_client, "wall", "tideline", "east", width_mm="9 m")
    assert "The campaign closed on 10 March 2026" in answer.context["form"].non_field_errors()[0]
    assert show.walls.get(code="east").width_mm == 3400
    answer = edit(ada_client, "settings", "tideline", min_gap_mm="1 cm")
    assert "Nothing was changed" in answer.context["form"].non_field_errors()[0]
    answer = edit(ada_client, "settings", "tideline", commission_bp="25 %")
    show.refresh_from_db()
    assert (show.min_gap_mm, show.commission_bp) == (120, 2500)


def test_rules_hooks_and_days_are_settings_too(ada_client, show):
    version = show.inputs_version
    typed = {
        "most_finishes": "2", "two_hooks_from_mm": "50 cm", "two_hooks_from_g": "3 kg", "hook_rating_g": "5 kg",
        "hook_margin": "3", "print_hours_milli": "3,5", "proof_days": "2", "drying_hours": "36", "payout_days": "7",
        "material_days": "6",
    }  # fmt: skip
    edit(ada_client, "settings", "tideline", **typed)
    show.refresh_from_db()
    assert (show.most_finishes, show.two_hooks_from_mm, show.two_hooks_from_g) == (2, 500, 3_000)
    assert (show.hook_rating_g, show.hook_margin, show.print_hours_milli) == (5_000, 3, 3_500)
    assert (show.proof_days, show.drying_hours, show.payout_days, show.material_days) == (2, 36, 7, 6)
    assert show.inputs_version == version + 1
    edit(ada_client, "settings", "tideline", most_finishes="")
    show.refresh_from_db()
    assert (show.most_finishes, show.series_share_finish) == (None, True)


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("most_finishes", "0", "a whole number from 1 to 99"),
        ("print_hours_milli", "25", "A day has 24 hours"),
        ("print_hours_milli", "0", "a number, more than 0"),
        ("print_hours_milli", "0.01", "at least a quarter of an hour"),
        ("hook_margin", "0", "a whole number from 1 to 20"),
        ("two_hooks_from_g", "heavy", "Found “heavy”"),
        ("drying_hours", "", "This field is required."),
    ],
)
def test_settings_that_make_no_sense_are_refused_at_the_field(ada_client, show, name, typed, words):
    answer = edit(ada_client, "settings", "tideline", **{name: typed})
    assert words in answer.context["form"].errors[name][0]

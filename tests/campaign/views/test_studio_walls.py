"""Walls with rows and gaps of their own, and their drawing while they are typed."""

import pytest
from django.urls import reverse

from campaign.models import Wall, Work
from tests.campaign.views.studio_forms import filled
from tests.campaign.views.test_studio_measure import edit

pytestmark = pytest.mark.usefixtures("clock")
TWO_ROWS = {"rows": "2", "row_height_mm": "60 cm", "row_gap_mm": "12 cm", "min_gap_mm": "8 cm"}


def drawing(client, page="wall", **changes):
    """The drawing that the page's script would fetch for the form with `changes` typed over it."""
    args = ["tideline", "north"] if page == "wall" else ["tideline"]
    data = filled(client.get(reverse(f"campaign:{page}", args=args)), **changes)
    return client.post(reverse("campaign:draw_wall", args=["tideline"]), data).content.decode()


def test_rows_gap_material_and_load_note_are_kept(ada_client, show):
    answer = edit(ada_client, "wall", "tideline", "east", material="brick", load_note="20 kg a plug", **TWO_ROWS)
    assert answer.redirect_chain
    wall = show.walls.get(code="east")
    assert (wall.rows, wall.row_height_mm, wall.row_gap_mm, wall.min_gap_mm) == (2, 600, 120, 80)
    assert (wall.material, wall.load_note) == ("brick", "20 kg a plug")
    assert "two, works up to 60 cm; gap at least 8 cm" in answer.content.decode()


def test_back_to_one_row_and_the_gap_of_the_show(ada_client, show):
    Wall.objects.filter(code="east").update(rows=2, row_height_mm=600, row_gap_mm=100, min_gap_mm=50)
    edit(ada_client, "wall", "tideline", "east", rows="1", row_height_mm="", row_gap_mm="", min_gap_mm="")
    wall = show.walls.get(code="east")
    assert (wall.rows, wall.row_height_mm, wall.row_gap_mm, wall.min_gap_mm) == (1, 0, 0, None)


def test_what_was_pinned_to_the_lower_row_hangs_in_the_only_one(ada_client, show):
    Wall.objects.filter(code="east").update(rows=2, row_height_mm=700, row_gap_mm=100)
    Work.objects.filter(code="w01").update(pinned_wall=show.walls.get(code="east"), pinned_row=1)
    edit(ada_client, "wall", "tideline", "east", rows="1")
    assert show.works.get(code="w01").pinned_row == 0
    edit(ada_client, "wall", "tideline", "east", width_mm="3 m")
    assert show.works.get(code="w01").pinned_wall.code == "east"


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"rows": "2"}, "row_height_mm", "Say how tall the works of a row may be"),
        ({"rows": "2", "row_height_mm": "huge"}, "row_height_mm", "Found “huge”"),
        ({"rows": "2", "row_height_mm": "2.6 m"}, "row_height_mm", "do not lie on the wall"),
        ({"rows": "3"}, "rows", "3 is not one of the available choices"),
        ({"min_gap_mm": "-1"}, "min_gap_mm", "Found “-1”"),
    ],
)
def test_rows_that_make_no_sense_are_refused_at_the_field(ada_client, show, changes, field, words):
    answer = edit(ada_client, "wall", "tideline", "east", **changes)
    (error,) = answer.context["form"].errors[field]
    assert words in error
    assert show.walls.get(code="east").rows == 1


def test_draw_it_draws_what_is_typed_and_writes_nothing(ada_client, show):
    before = show.inputs_version
    answer = edit(ada_client, "wall", "tideline", "north", width_mm="2 m", preview="1", **{"areas-0-width_mm": "wide"})
    assert (answer.context["typed"].width_mm, answer.context["typed"].blocked) == (2000, ())
    page = answer.content.decode()
    assert "As typed, not saved yet: 200 cm long" in page
    assert 'value="2 m"' in page
    assert "Found “wide”" in answer.context["rows"].forms[0].errors["width_mm"][0]
    show.refresh_from_db()
    assert show.inputs_version == before
    assert show.walls.get(code="north").width_mm == 5200


def test_the_drawing_alone_follows_the_typing(ada_client, show):
    stored = drawing(ada_client)
    assert "520 cm long, 270 cm high" in stored
    assert "A door, 90 × 205 cm, left edge at 210 cm" in stored
    typed = drawing(ada_client, width_mm="4 m", **TWO_ROWS, **{"areas-0-DELETE": "on"})
    assert "400 cm long" in typed
    assert "A door" not in typed
    assert typed.count("el-centre") == 2
    assert "<html" not in typed
    assert "A radiator, 90 × 60 cm" in drawing(
        ada_client, "new_wall", width_mm="3m", height_mm="2,5m", name="",
        **{"areas-0-kind": "radiator", "areas-0-x_mm": "0", "areas-0-y_mm": "10", "areas-0-width_mm": "90",
           "areas-0-height_mm": "60"},
    )  # fmt: skip


@pytest.mark.parametrize(
    "changes",
    [
        {"width_mm": ""}, {"height_mm": "?"}, {"width_mm": "0"}, {"height_mm": "1 mm"}, {"width_mm": "\x00"},
    ],
)  # fmt: skip
def test_what_cannot_be_drawn_yet_is_said(ada_client, show, changes):
    assert "drawn once its length and height can be read" in drawing(ada_client, **changes)


@pytest.mark.parametrize(
    "changes",
    [
        {"centre_mm": "9 m"}, {"centre_mm": ""}, {"end_margin_mm": "99 m"}, {"name": ""}, {"name": "<b>" * 30},
        {"rows": "x"},
        {"rows": "2", "row_height_mm": "99 m"}, {"areas-0-x_mm": "99 m"},
        {"areas-0-kind": "lake"},
    ],
)  # fmt: skip
def test_nonsense_in_one_field_leaves_the_rest_drawn(ada_client, show, changes):
    assert "<svg" in drawing(ada_client, **changes)


def test_a_drawing_asked_for_with_nothing_at_all_is_a_sentence(ada_client, show):
    answer = ada_client.post(reverse("campaign:draw_wall", args=["tideline"]), {})
    assert answer.status_code == 200
    assert "drawn once" in answer.content.decode()


def test_a_wall_sent_with_nothing_at_all_is_asked_for(ada_client, show):
    for name, args in (("new_wall", ["tideline"]), ("wall", ["tideline", "north"])):
        answer = ada_client.post(reverse(f"campaign:{name}", args=args), {})
        assert answer.status_code == 200
        assert answer.context["form"].errors

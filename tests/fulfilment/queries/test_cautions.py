import pytest
from hypothesis import given
from hypothesis import strategies as st

from fulfilment.queries.cautions import HungFigures, cautions_for


def hung(**changes):
    figures = {
        "title": "Low water", "mass_g": 900, "width_mm": 500, "height_mm": 400, "top_mm": 1650, "is_glazed": False,
    }  # fmt: skip
    return HungFigures(**figures | changes)


def said(*works, blocked=()):
    return " ".join(cautions_for(works, blocked_names=blocked))


def test_light_works_at_eye_height_need_no_caution():
    assert cautions_for([hung()], blocked_names=["window"]) == ()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"mass_g": 5_001}, "“Low water” weighs more than 5 kg"),
        ({"mass_g": 15_001}, "“Low water” weighs more than 15 kg: two people"),
        ({"is_glazed": True, "width_mm": 901, "height_mm": 700}, "“Low water” is behind glass and large"),
        ({"top_mm": 2_001}, "“Low water” reaches above 2 m"),
    ],
)
def test_a_figure_above_its_limit_brings_its_caution(changes, words):
    assert words in said(hung(**changes))


@pytest.mark.parametrize(
    "changes",
    [
        {"mass_g": 5_000},
        {"top_mm": 2_000},
        {"is_glazed": True, "width_mm": 800, "height_mm": 600},
        {"is_glazed": True, "width_mm": 2_000, "height_mm": 600},
        {"is_glazed": False, "width_mm": 2_000, "height_mm": 2_000},
    ],
)
def test_a_figure_at_its_limit_brings_none(changes):
    assert said(hung(**changes)) == ""


def test_several_works_are_named_and_the_rest_counted():
    works = [hung(title=title, mass_g=6_000) for title in ("A", "B", "C", "D", "E")]
    assert "“A”, “B”, “C” and 2 more weigh more than 5 kg" in said(*works)
    assert "“A” and “B” weigh more" in said(*works[:2])


def test_a_door_in_a_wall_with_works_brings_the_caution_on_exits():
    assert "Never block" in said(hung(), blocked=["Door to the yard"])
    assert cautions_for([], blocked_names=["door"]) == ()


@given(st.integers(0, 40_000), st.integers(0, 40_000))
def test_a_heavier_work_never_has_fewer_cautions(one_g, other_g):
    lighter, heavier = sorted((one_g, other_g))
    assert len(cautions_for([hung(mass_g=lighter)], blocked_names=[])) <= len(
        cautions_for([hung(mass_g=heavier)], blocked_names=[])
    )

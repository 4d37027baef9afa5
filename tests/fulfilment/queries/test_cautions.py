import pytest

from campaign.planning.placing.hooks import Caution, Topic
from fulfilment.queries.cautions import say_caution


def said(topic, *titles, found, limit, unit="cm"):
    return say_caution(Caution(topic, titles or ("Low water",), found, limit), unit=unit)


@pytest.mark.parametrize(
    ("topic", "found", "limit", "words"),
    [
        (Topic.LIFTING, 16_200, 15_000, "“Low water” weighs 16.2 kg, more than 15 kg: two people lift"),
        (Topic.LOAD, 5_200, 5_000, "“Low water” weighs 5.2 kg, more than 5 kg. The wall may be weaker"),
        (
            Topic.HOOKS,
            18_000,
            10_000,
            "“Low water” calls for hooks rated 18 kg with your margin, and yours carry 10 kg.",
        ),
        (Topic.GLASS, 905, 800, "“Low water” is behind glass and large (90.5 cm, more than 80 cm). Carry"),
        (Topic.PROTRUSION, 110, 100, "“Low water” stands out 11 cm from the wall, more than 10 cm, where a cane"),
        (Topic.LADDER, 2_105, 2_000, "“Low water” reaches up to 210.5 cm, above 200 cm. Ladders:"),
        (Topic.EXIT, 150, 915, "“Low water” hangs 15 cm from a door or exit, nearer than 91.5 cm. Never block"),
    ],
)
def test_each_topic_says_its_work_and_its_figures(topic, found, limit, words):
    assert words in said(topic, found=found, limit=limit)


def test_lengths_are_in_the_shows_unit():
    assert "stands out 5 in from the wall, more than 4 in" in said(Topic.PROTRUSION, found=127, limit=102, unit="in")


def test_several_works_are_named_and_the_rest_counted():
    five = said(Topic.LOAD, *"ABCDE", found=6_000, limit=5_000)
    assert five.startswith("“A”, “B”, “C” and 2 more weigh up to 6 kg, more than 5 kg")
    assert said(Topic.EXIT, "A", "B", found=0, limit=915).startswith("“A” and “B” hang 0 cm from a door")

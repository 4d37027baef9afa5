"""Why a work does not hang, in sentences."""

import pytest

from campaign.planning.costing.quantities import Wording
from campaign.planning.explaining.hangers import Change, Kind, Rule
from campaign.planning.explaining.lacks import Lack, Lacking
from campaign.planning.explaining.why_words import say_change

WALLS, TITLES = {"n": "North wall"}, {"a": "Low water", "b": "Last ferry"}


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (Change(Kind.MONEY, 4210, 79210), "It hangs from €792.10 of wall money on: €42.10 more."),
        (
            Change(Kind.INSIST, 60, taken_down=("a", "b")),
            "Insist that it hangs, and at this money the show is worth 60 points less: "
            "“Low water” and “Last ferry” come down.",
        ),
        (
            Change(Kind.INSIST, 60),
            "Insist that it hangs, and at this money the show is worth 60 points less, because others hang smaller "
            "or in plainer finishes.",
        ),
        (Change(Kind.INSIST, 0), "Insist that it hangs, and the show is worth as much as now."),
        (
            Change(Kind.INSIST_MONEY, 1000, 76000),
            "Insist that it hangs, and from €760.00, €10.00 more, the show is worth no less than now.",
        ),
        (
            Change(Kind.INSIST_MONEY, 1000, 76000, is_least=True),
            "Insist that it hangs, and the cheapest show with it needs €760.00: €10.00 more.",
        ),
        (
            Change(Kind.WORTH, 34, 1214),
            "It hangs at this money once it is worth more than 1,214 points in 60 × 45 cm, oak, now 1,180.",
        ),
        (Change(Kind.WALL, 350, 5550, wall_code="n"), "It hangs if “North wall” is 35 cm longer, 555 cm in all."),
        (Change(Kind.PRINTER, 5400, 72000), "It hangs with 1 h 30 min more on the printer, 20 h in all."),
        (Change(Kind.RULE, rule=Rule.SERIES), "It could hang if works of a series need not share a finish."),
        (Change(Kind.NO_OPTION), "It is offered in no size and finish that has a price."),
    ],
)
def test_a_change_is_a_sentence(change, sentence):
    wording = Wording("EUR", length_unit="cm")
    said = say_change(change, wording=wording, walls=WALLS, titles=TITLES, option_name="60 × 45 cm, oak")
    assert said == sentence


@pytest.mark.parametrize("lack", list(Lack))
def test_every_lack_has_a_sentence_with_its_number(lack):
    change = Change(Kind.LACK, 70, wall_code="n", lacking=Lacking(lack, 70, "n"))
    said = say_change(change, wording=Wording("EUR", length_unit="cm"), walls=WALLS, titles=TITLES)
    number = {Lack.WORTH: "nothing", Lack.PRINTER: "2 min", Lack.LEAD: "70 working days"}.get(lack, "7 cm")
    assert number in said


def test_a_lone_day_and_a_room_without_walls_are_worded():
    lead = Change(Kind.LACK, 1, lacking=Lacking(Lack.LEAD, 1))
    high = Change(Kind.LACK, 400, lacking=Lacking(Lack.HEIGHT, 400))
    wording = Wording("EUR")
    assert "1 working day longer" in say_change(lead, wording=wording, walls=WALLS, titles=TITLES)
    assert say_change(high, wording=wording, walls={}, titles=TITLES) == (
        "It is too high for every row: in the highest one 400 mm are missing."
    )

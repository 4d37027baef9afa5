"""From the price book to supplies, from finishes to their terms."""

from campaign.planning import (
    FinishSpec,
    FinishTerms,
    Pack,
    PriceItem,
    PriceStep,
    Supply,
    supplies_for,
    terms_for,
)


def test_packs_carry_their_price_steps_from_the_first_pack_on():
    item = PriceItem("board", "Board", "piece", 6_200, 25_000, is_sold_in_packs=True, shelf_milli=6_000,
                     steps=(PriceStep(10, 5_000), PriceStep(3, 5_800)))  # fmt: skip
    packs = (Pack(25_000_000, 6_200), Pack(25_000_000, 5_800, 3), Pack(25_000_000, 5_000, 10))
    assert supplies_for([item]) == (Supply("board", "Board", "piece", 6_000_000, packs),)


def test_what_is_partly_on_the_shelf_is_bought_to_measure():
    item = PriceItem("ink", "Ink", "ml", 6_000, 100_000, shelf_milli=20_000)
    assert supplies_for([item]) == (
        Supply("ink", "Ink", "ml", 20_000_000, price_minor=6_000, per_micro=100_000_000),
    )  # fmt: skip


def test_other_items_are_no_supplies():
    assert supplies_for([PriceItem("hook", "Hook", "piece", 20)]) == ()


def test_terms_are_what_a_finish_charges_beside_its_works():
    finish = FinishSpec("lab", "Lab print", 50, 0, 0, 0, False, (), setup_minor=2_500, least_minor=8_000)
    assert terms_for([finish]) == (FinishTerms("lab", "Lab print", 2_500, 8_000),)

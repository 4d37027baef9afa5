"""From rows to the price book, and from the price book to the request: supplies, charges, gifts, pairs, days."""

from campaign.models import GiftInKind, OptionWorth, PriceStep, SizePrice, WorkPair
from campaign.planning import FinishTerms, Need, Pack, Pin, Supply
from campaign.planning import PriceStep as StepSpec
from campaign.planning import SizePrice as SizeSpec
from campaign.queries.pairs import connected_sets, read_pairs
from campaign.queries.plan_request import dump_request, load_request, read_plan_request
from campaign.queries.price_book import read_price_book


def _packs(show):
    """Moulding comes in bars of 3 m, cheaper from four on; two metres are there."""
    item = show.price_items.get(code="moulding")
    item.is_sold_in_packs, item.per_milli, item.price_minor, item.shelf_milli = True, 3_000, 2_000, 2_000
    item.save()
    PriceStep.objects.create(item=item, from_packs=4, price_minor=1_700)
    return item


def _gift(show, item_code, **fields):
    item = show.price_items.get(code=item_code)
    return GiftInKind.objects.create(show=show, giver="The Net Loft", item=item, **fields)


def test_packs_steps_and_shelf_reach_the_request(show):
    _packs(show)
    request = read_plan_request(show)
    packs = (Pack(3_000_000, 2_000), Pack(3_000_000, 1_700, 4))
    assert request.supplies == (Supply("moulding", "Oak moulding 20 mm", "m", 2_000_000, packs),)
    framed = [option for option in request.works[0].options if option.finish_code == "frame"]
    assert framed[0].needs == (Need("moulding", 2 * (540 + 440) * 1_100),)


def test_gift_for_the_show_lies_on_the_shelf(show):
    _packs(show)
    _gift(show, "moulding", quantity_milli=12_000)
    assert read_plan_request(show).supplies[0].shelf_micro == 14_000_000


def test_gift_makes_a_supply_of_what_was_none(show):
    _gift(show, "acrylic", quantity_milli=500)
    supply = read_plan_request(show).supplies[0]
    assert (supply.code, supply.shelf_micro, supply.packs, supply.price_minor) == ("acrylic", 500_000, (), 3_900)


def test_supply_that_no_option_takes_is_not_in_the_request(show):
    before = read_plan_request(show)
    show.price_items.create(code="gold", name="Gold leaf", unit="piece", price_minor=900, shelf_milli=5_000)
    assert read_plan_request(show) == before


def test_gift_for_a_work_is_taken_out_of_its_cost_alone(show):
    before = read_plan_request(show)
    work = show.works.get(code="w01")
    _gift(show, "acrylic", work=work)
    book, after = read_price_book(show), read_plan_request(show)
    assert book.given == {"w01": (("acrylic", "The Net Loft"),)}
    assert after.supplies == ()
    assert [option.cost_minor for option in after.works[0].options] != [o.cost_minor for o in before.works[0].options]
    assert after.works[1:] == before.works[1:]


def test_two_givers_of_one_thing_are_named_together(show):
    work = show.works.get(code="w01")
    _gift(show, "acrylic", work=work)
    other = _gift(show, "acrylic", work=work)
    GiftInKind.objects.filter(pk=other.pk).update(giver="Aunt Example")
    assert read_price_book(show).given["w01"] == (("acrylic", "The Net Loft and Aunt Example"),)


def test_steps_and_table_rows_come_in_their_order(show):
    item = _packs(show)
    PriceStep.objects.create(item=item, from_packs=2, price_minor=1_900)
    for width, price in ((500, 3_000), (300, 1_000)):
        SizePrice.objects.create(item=item, width_mm=width, height_mm=400, price_minor=price)
    spec = read_price_book(show).items["moulding"]
    assert spec.steps == (StepSpec(2, 1_900), StepSpec(4, 1_700))
    assert spec.table == (SizeSpec(300, 400, 1_000), SizeSpec(500, 400, 3_000))


def test_charges_days_and_depth_of_a_finish_reach_the_request(show):
    show.finishes.filter(code="frame").update(setup_minor=500, least_minor=9_000, lead_days=3, depth_mm=30)
    request = read_plan_request(show)
    assert request.finishes[1] == FinishTerms("frame", "Framed behind acrylic", 500, 9_000)
    framed = next(option for option in request.works[0].options if option.finish_code == "frame")
    assert (framed.lead_days, framed.depth_mm) == (3, 30)


def test_rules_of_works_and_room_reach_the_request(show):
    wall = show.walls.get(code="north")
    show.works.filter(code="w02").update(must_hang=True, pinned_wall=wall, pinned_middle_mm=900, series="Fog")
    show.walls.filter(code="east").update(rows=2, row_height_mm=500, row_gap_mm=80, min_gap_mm=90)
    type(show).objects.filter(pk=show.pk).update(most_finishes=1)
    show.refresh_from_db()
    request = read_plan_request(show)
    work = request.works[1]
    assert (work.must_hang, work.pin, work.series) == (True, Pin("north", 900, 0), "Fog")
    east = request.walls[1]
    assert (east.rows, east.row_height_mm, east.row_gap_mm, east.min_gap_mm) == (2, 500, 80, 90)
    assert (request.most_finishes, request.series_share_finish) == (1, True)


def test_own_worth_of_an_option_reaches_the_request(show):
    work = show.works.get(code="w01")
    size, finish = work.sizes.first(), show.finishes.get(code="frame")
    OptionWorth.objects.create(work=work, size=size, finish=finish, worth=7)
    option = next(
        o for o in read_plan_request(show).works[0].options if (o.size_code, o.finish_code) == ("400x300", "frame")
    )
    assert option.worth == 7


def test_pairs_come_in_the_works_order_and_chains_become_sets(show):
    works = {work.code: work for work in show.works.all()}
    for kind, one, other in (("together", "w05", "w03"), ("together", "w01", "w03"), ("apart", "w04", "w02")):
        WorkPair.objects.create(show=show, kind=kind, one=works[one], other=works[other])
    assert read_pairs(show) == ((("w02", "w04"),), (("w01", "w03", "w05"),))
    request = read_plan_request(show)
    assert (request.apart, request.together) == read_pairs(show)


def test_two_chains_that_meet_are_one_set():
    assert connected_sets([("a", "b"), ("c", "d"), ("b", "c")], order="abcd") == (("a", "b", "c", "d"),)


def test_request_with_everything_is_stored_and_read_back(show):
    _packs(show)
    wall = show.walls.get(code="north")
    show.works.filter(code="w02").update(pinned_wall=wall)
    works = list(show.works.all())
    WorkPair.objects.create(show=show, kind="apart", one=works[0], other=works[1])
    request = read_plan_request(show)
    assert load_request(dump_request(request)) == request

from collections import Counter
from datetime import UTC, date, datetime, timedelta

import pytest

from campaign.demonstration.catalogue import WORKS
from campaign.demonstration.folder import write_demonstration_folder
from campaign.pictures import digest
from campaign.planning import not_offered, plan_at, quick_staircase, verify_plan
from campaign.queries.plan_request import read_plan_request
from campaign.queries.price_book import wording_of
from campaign.references import check_iban
from campaign.services.shows import import_show
from campaign.showfolder import Outcome, read_show_folder

TODAY = date(2026, 3, 3)


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    return write_demonstration_folder(tmp_path_factory.mktemp("demonstration"), today=TODAY)


@pytest.fixture(scope="module")
def folder(place):
    return read_show_folder(place)


def test_the_folder_reads_without_a_refusal_or_a_note(folder):
    lines = [verdict.line for verdict in folder.verdicts if verdict.outcome in (Outcome.REFUSED, Outcome.NOTED)]
    assert lines == []


def test_the_show_is_whole(folder):
    assert folder.settings.code == "demo"
    assert len(folder.works) == len(WORKS) == 27
    assert len(folder.walls) == 3
    assert {area.kind for area in folder.blocked_areas} == {"door", "window", "radiator", "switch"}
    assert len(folder.finishes) == 4
    assert 60 <= folder.editions[0].copies <= 100
    assert [rate.countries for rate in folder.postage if rate.zone == "Everywhere else"] == [("*",)] * 3
    assert check_iban(folder.settings.iban) == folder.settings.iban


@pytest.mark.parametrize("days", range(7))
def test_the_campaign_is_open_on_the_day_it_is_written_whatever_the_weekday(tmp_path, days):
    today = TODAY + timedelta(days=days)
    settings = read_show_folder(write_demonstration_folder(tmp_path, today=today, with_pictures=False)).settings
    assert settings.opens_at.date() < today < settings.closes_at.date() - timedelta(days=14)
    assert settings.opening_at.weekday() == 4
    assert timedelta(weeks=8) < settings.opening_at.date() - today < timedelta(weeks=10)
    assert settings.closes_at.date() < settings.posting_by_on < settings.hang_on <= settings.opening_at.date()


def test_works_differ_and_every_one_is_described(folder):
    assert len({work.title for work in folder.works}) == 27
    assert len({digest(work.picture.read_bytes()) for work in folder.works}) == 27
    assert all(len(work.alt) > 20 for work in folder.works)
    assert set(Counter(work.series for work in folder.works)) == {"Ebb", "Fog", "Lights", "Tide Table", "Harbour"}


def test_the_folder_is_as_untidy_as_real_ones(place):
    assert (place / "List of works.csv").read_bytes().startswith(b"\xef\xbb\xbf")
    assert b"\x80" in (place / "levels.csv").read_bytes()  # a euro sign in Windows-1252
    assert (place / "Price book.xlsx").exists()
    assert b"\t" in (place / "postage.csv").read_bytes()


def test_no_picture_is_very_large(place):
    sizes = [path.stat().st_size for path in (place / "pictures").iterdir()]
    assert max(sizes) < 2_000_000
    assert sum(sizes) < 12_000_000


def test_works_name_the_finishes_they_may_have(folder):
    assert {work.finish_codes for work in folder.works} == {("bare", "tray", "window"), ("tray", "lab", "window")}


def test_money_in_the_levels_rises_from_half_a_room_to_all_of_it(folder):
    assert [level.money_minor for level in folder.levels] == [45_000, 75_000, 150_000]


def test_costs_are_of_every_kind_there_is(folder):
    packs = {row.code for row in folder.price_book if row.is_sold_in_packs}
    assert packs == {"paper", "ink", "hardware"}
    assert {row.code for row in folder.price_book if row.shelf_milli} == packs
    assert {row.item_code for row in folder.price_steps} == {"hardware"}
    assert len(folder.size_prices) == 5
    assert {line.basis for line in folder.recipe_lines} >= {"ink_area", "print_size", "outer_perimeter", "piece"}
    assert [(gift.item_code, gift.work_code) for gift in folder.gifts] == [("moulding", ""), ("aluminium", "w08")]
    lab = next(row for row in folder.finishes if row.code == "lab")
    assert lab.setup_minor and lab.least_minor and lab.lead_days
    assert any(row.priced_on < folder.settings.old_prices_before_on for row in folder.price_book)


def test_rules_and_days_are_of_every_kind_there_is(folder):
    assert {wall.rows for wall in folder.walls} == {1, 2}
    assert [work.code for work in folder.works if work.must_hang] == ["w01"]
    assert {work.code: work.pinned_middle_mm for work in folder.works if work.pinned_wall_code} == {
        "w08": None, "w24": 1_200,
    }  # fmt: skip
    assert {pair.kind for pair in folder.pairs} == {"apart", "together"}
    assert (len(folder.worths), len(folder.closed_days)) == (1, 2)
    assert [deadline.on < TODAY for deadline in folder.deadlines] == [True, False]


@pytest.mark.django_db
def test_full_show_costs_and_takes_what_a_modest_one_does(folder):
    """Common practice, no source: between one and three thousand, and about nine days for 27 prints at home."""
    show = import_show(folder=folder, now=datetime(2026, 3, 3, 12, tzinfo=UTC)).show
    request = read_plan_request(show)
    staircase = quick_staircase(request)
    top = staircase.steps[-1]
    plan = plan_at(request, staircase, top.money_minor)
    assert verify_plan(request, plan) == ()
    assert len(plan.works) == len(WORKS)
    assert 100_000 < plan.cost_minor < 300_000
    assert {bought.supply_code for bought in plan.purchases if any(bought.packs)} == {"paper", "ink", "hardware"}
    chosen = [work.options[picked] for work, picked in zip(request.works, top.choice, strict=True)]
    seconds = sum(option.printer_seconds for option in chosen)
    days = -(-seconds // (show.print_hours_milli * 3600 // 1000)) + show.proof_days + show.drying_hours // 24
    assert 8 <= days <= 10
    assert not_offered(request, wording=wording_of(show)) == ()

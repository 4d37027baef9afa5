from collections import Counter
from datetime import date, timedelta

import pytest

from campaign.demonstration.catalogue import WORKS
from campaign.demonstration.folder import write_demonstration_folder
from campaign.pictures import digest
from campaign.planning import Basis, FinishSpec, PriceItem, RecipeLine, SizeSpec, WorkSpec, options_for
from campaign.references import check_iban
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
    assert 60 <= folder.edition.copies <= 100
    assert [rate.countries for rate in folder.postage if rate.zone == "Everywhere else"] == [("*",), ("*",)]
    assert check_iban(folder.settings.iban) == folder.settings.iban


@pytest.mark.parametrize("days", range(7))
def test_the_campaign_is_open_on_the_day_it_is_written_whatever_the_weekday(tmp_path, days):
    today = TODAY + timedelta(days=days)
    settings = read_show_folder(write_demonstration_folder(tmp_path, today=today, with_pictures=False)).settings
    assert settings.opens_at.date() < today < settings.closes_at.date() - timedelta(days=14)
    assert settings.opening_at.weekday() == 4
    assert timedelta(weeks=7) < settings.opening_at.date() - today < timedelta(weeks=9)
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
    assert [level.money_minor for level in folder.levels] == [45_000, 75_000, 100_000]


def test_everything_at_its_dearest_costs_what_a_modest_show_does(folder):
    prices = {
        row.code: PriceItem(row.code, row.name, row.unit, row.price_minor, row.per_milli) for row in folder.price_book
    }

    def line(row):
        return RecipeLine(prices[row.item_code], Basis(row.basis), row.quantity_milli, row.waste_bp)

    def finish(row):
        lines = tuple(line(each) for each in folder.recipe_lines if each.finish_code == row.code)
        widths = (row.border_mm, row.mat_mm, row.moulding_mm)
        return FinishSpec(row.code, row.name, row.worth, *widths, row.is_printed_at_home, lines)

    finishes = {row.code: finish(row) for row in folder.finishes}
    dearest = 0
    for work in folder.works:
        sizes = tuple(
            SizeSpec(size.code, size.width_mm, size.height_mm) for size in folder.sizes if size.work_code == work.code
        )
        spec = WorkSpec(work.code, work.title, work.need, sizes, tuple(finishes[code] for code in work.finish_codes))
        options = options_for(spec, printer_seconds_per_m2=folder.settings.printer_seconds_per_m2).options
        dearest += max(option.cost_minor for option in options)
    # Between one and three thousand for a show in a community room: common practice, no source.
    assert 100_000 < dearest + sum(cost.amount_minor for cost in folder.show_costs) < 300_000

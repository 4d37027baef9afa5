from collections import Counter
from datetime import date, timedelta

import pytest

from campaign.demonstration.catalogue import WORKS
from campaign.demonstration.folder import write_demonstration_folder
from campaign.pictures import digest
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


def test_materials_and_show_costs_are_those_of_a_modest_show(folder):
    # Everything hung at its dearest comes to between one and three thousand: common practice, no source.
    assert sum(cost.amount_minor for cost in folder.show_costs) == 27_050

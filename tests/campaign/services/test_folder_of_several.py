"""A folder with several editions, postage by weight and date, and taxes: into rows, twice is once, faults are said."""

from datetime import UTC, date, datetime

import pytest

from campaign.models import Copy
from campaign.services.shows import import_show
from campaign.showfolder.folder import read_show_folder
from campaign.showfolder.rows import Outcome
from tests.showfolders import TABLES, write_folder

NOW = datetime(2026, 9, 10, 12, 0, tzinfo=UTC)
EDITION = (
    "code;title;work;print size;paper;copies;price;limit;make cost;pack cost;mass;parcel size;proofs;sold from;"
    "sold until\n"
    "ebb-print;Ebb, the print;t1;40 x 30 cm;Cotton;20;65,00;2;9,50;2,40;400 g;45x10x10;2;;\n"
    "ebb-card;Ebb, a card;t1;15 x 10 cm;Cotton;30;12,00;2;0,90;0,40;30 g;18x13x1;;2026-09-05 10:00;20 Sep 2026\n"
)
POSTAGE = (
    "zone;countries;up to copies;up to weight;valid from;charge;cost\n"
    "home;DE;;500 g;;4,90;3,95\nhome;;;1 kg;;6,90;5,49\nhome;;;500 g;2026-10-01;5,20;4,10\n"
    "Europe;EU;2;;;14;12,90\nworld;*;2;;;22,00;19,50\n"
)
TAXES = (
    "name;countries;rate;how;on postage;valid from\n"
    "VAT;DE;7 %;inside;;\nVAT;EU;19 %;;no;\nGST;AU;10 %;added;yes;2026-10-01\n"
)


def folder_of(path, **tables):
    return read_show_folder(write_folder(path, **({"edition": EDITION, "postage": POSTAGE, "taxes": TAXES} | tables)))


@pytest.mark.django_db
def test_folder_becomes_rows_and_the_same_folder_changes_nothing(tmp_path):
    folder = folder_of(tmp_path)
    assert folder.refusals == ()
    show = import_show(folder=folder, now=NOW).show
    large, card = show.editions.all()
    assert (large.code, large.size, large.proofs, card.code, card.position) == ("ebb-print", 20, 2, "ebb-card", 1)
    assert Copy.objects.filter(edition=large, state="proof").count() == 2
    assert Copy.objects.filter(edition=card).count() == 30
    assert card.sold_from_at == datetime(2026, 9, 5, 8, 0, tzinfo=UTC)
    assert card.sold_until_at == datetime(2026, 9, 20, 21, 59, tzinfo=UTC)
    home = show.postage_rates.filter(zone="home").values_list(
        "up_to_copies", "up_to_g", "valid_from_on", "charge_minor"
    )
    assert list(home) == [(0, 500, None, 490), (0, 1000, None, 690), (0, 500, date(2026, 10, 1), 520)]
    taxes = show.tax_rates.values_list("name", "rate_bp", "is_added", "covers_postage", "valid_from_on")
    assert list(taxes) == [
        ("VAT", 700, False, True, None), ("VAT", 1900, False, False, None),
        ("GST", 1000, True, True, date(2026, 10, 1)),
    ]  # fmt: skip
    assert "DE" not in show.tax_rates.get(rate_bp=1900).country_codes
    assert import_show(folder=folder_of(tmp_path), now=NOW).is_unchanged


@pytest.mark.django_db
def test_a_folder_without_taxes_says_nothing_of_them(tmp_path):
    show = import_show(folder=folder_of(tmp_path), now=NOW).show
    (tmp_path / "taxes.csv").unlink()
    plain = read_show_folder(tmp_path)
    assert plain.taxes is None
    assert import_show(folder=plain, now=NOW).is_unchanged
    assert show.tax_rates.count() == 3


@pytest.mark.django_db
def test_an_edition_that_nobody_ordered_goes_with_its_proofs(tmp_path):
    show = import_show(folder=folder_of(tmp_path), now=NOW).show
    fewer = import_show(folder=folder_of(tmp_path, edition=TABLES["edition"]), now=NOW)
    assert {change.table: (change.added, change.removed) for change in fewer.changes} == {
        "edition": (0, 1), "copies": (0, 2),
    }  # fmt: skip
    assert show.editions.count() == 1 and not Copy.objects.filter(state="proof").exists()


@pytest.mark.parametrize(
    ("table", "old", "new", "words"),
    [
        ("edition", "ebb-card;", "EBB-PRINT;", "has this code already"),
        ("edition", "20 Sep 2026", "1 Sep 2026", "Orders would end before they begin"),
        ("edition", "20 Sep 2026", "soon", "Write a date"),
        ("postage", "home;;;1 kg", "home;;3;1 kg", "write one"),
        ("postage", "home;;;1 kg", "home;;3;", "rows by copies and rows by weight"),
        ("postage", "1 kg", "400 g", "The steps of a zone rise"),
        ("postage", "Europe;EU;2", "Europe;EU;1", "this zone ends at 1"),
        ("taxes", "AU;10 %", "AU;100 %", "below 100 %"),
        ("taxes", "AU;", "DE,*;", "names countries and * for everywhere else"),
        ("taxes", "GST;AU;10 %;added;yes;2026-10-01", "GST;DE;10 %;added;yes;", "DE has a row from the same day"),
        ("taxes", "added", "somehow", "inside or added"),
    ],
)
def test_faults_are_said_at_their_row(tmp_path, table, old, new, words):
    text = {"edition": EDITION, "postage": POSTAGE, "taxes": TAXES}[table]
    assert old in text
    folder = folder_of(tmp_path, **{table: text.replace(old, new)})
    assert any(words in verdict.sentence for verdict in folder.refusals), [v.line for v in folder.refusals]


def test_more_proofs_than_a_tenth_are_noted(tmp_path):
    folder = folder_of(tmp_path, edition=EDITION.replace("45x10x10;2;", "45x10x10;3;"))
    noted = [verdict.sentence for verdict in folder.verdicts if verdict.outcome is Outcome.NOTED]
    assert folder.ok and any("a tenth of the copies or fewer is common practice" in sentence for sentence in noted)

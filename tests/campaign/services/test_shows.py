"""A show folder into rows: whole or not at all, twice is once, and what backers agreed to stays."""

from datetime import UTC, datetime

import pytest
from PIL import Image, PngImagePlugin

from campaign.errors import EditionIsLimited, NotInThisState, NotReady, Refusal
from campaign.models import Copy, Edition, Picture, Pledge, RecipeLine, Show, Size, Studio, Work
from campaign.services.campaigns import close_campaign, publish_show
from campaign.services.plans import refresh_staircase
from campaign.services.shows import import_show
from campaign.showfolder.folder import read_show_folder
from tests.builders import place
from tests.showfolders import SETTINGS, TABLES, write_folder

NOW = datetime(2026, 9, 10, 12, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db


def load(path, **tables):
    return import_show(folder=read_show_folder(write_folder(path, **tables)), now=NOW)


def order(show, *, copies=1):
    return place(show, edition_code="ebb-print", copies=copies, now=NOW)


def counts(report):
    return {change.table: (change.added, change.changed, change.removed) for change in report.changes}


def test_folder_becomes_rows(tmp_path):
    report = load(tmp_path)
    show = report.show
    assert report.is_new
    assert (show.code, show.state, show.currency, show.commission_bp) == ("tide", "draft", "EUR", 3000)
    assert show.opens_at == datetime(2026, 9, 1, 8, 0, tzinfo=UTC)
    assert Studio.objects.get(pk=1).iban == "DE89370400440532013000"
    assert list(show.walls.values_list("code", "width_mm", "centre_mm")) == [("A", 6200, 1450), ("B", 3100, 1450)]
    assert show.walls.get(code="A").blocked_areas.get().width_mm == 900
    assert list(show.price_items.values_list("code", "price_minor", "per_milli")) == [
        ("frame", 420, 1000), ("glass", 105_000, 25_000), ("hour", 2400, 60_000), ("paper", 1800, 1000),
    ]  # fmt: skip
    assert RecipeLine.objects.filter(finish__code="framed").count() == 4
    assert list(Size.objects.filter(work__code="t1").values_list("code", "factor_percent")) == [
        ("600x400", 100), ("900x600", 130),
    ]  # fmt: skip
    edition = show.editions.get()
    assert (edition.work.code, edition.price_minor, edition.make_cost_minor) == ("t1", 6500, 950)
    assert list(edition.copies.values_list("number", flat=True)) == list(range(1, 21))
    assert show.postage_rates.get(zone="Europe").country_codes[:2] == ("AT", "BE")


def test_no_finish_named_is_kept_as_any_finish(tmp_path):
    load(tmp_path)
    assert not Work.objects.get(code="t1").finishes.exists()
    assert [finish.code for finish in Work.objects.get(code="t2").finishes.all()] == ["plain"]


def test_second_import_of_the_same_folder_changes_nothing(tmp_path):
    first = load(tmp_path)
    before = {
        model: list(model.objects.order_by("pk").values()) for model in (Show, Work, Size, RecipeLine, Edition, Picture)
    }
    second = import_show(folder=read_show_folder(tmp_path), now=NOW)
    assert second.is_unchanged
    assert second.show == first.show
    for model, rows in before.items():
        assert list(model.objects.order_by("pk").values()) == rows


def test_only_what_differs_is_written(tmp_path):
    version = load(tmp_path).show.inputs_version
    changed = load(
        tmp_path,
        costs="name;amount;note\nCards;72,00;250 cards\nTransport;30;\n",
        walls=TABLES["walls"].replace("6,20 m", "6,40 m"),
    )
    assert counts(changed) == {"walls": (0, 1, 0), "show costs": (1, 1, 1)}
    assert Show.objects.get().inputs_version > version


def test_renamed_finish_takes_its_recipe_along(tmp_path):
    load(tmp_path)
    report = load(
        tmp_path,
        finishes=TABLES["finishes"].replace("framed;", "oak;"),
        recipes=TABLES["recipes"].replace("framed", "oak"),
    )
    assert counts(report) == {"finishes": (1, 0, 1), "recipe lines": (4, 0, 4)}


def test_item_that_leaves_the_price_book_goes_after_the_lines_that_used_it(tmp_path):
    load(tmp_path)
    rows = TABLES["prices"].splitlines(keepends=True)
    report = load(
        tmp_path,
        prices="".join(rows[:-1]),
        recipes=TABLES["recipes"].replace("framed;hour;minute;30;0\n", ""),
    )
    assert counts(report) == {"prices": (0, 0, 1), "recipe lines": (0, 0, 1)}


def test_changed_picture_replaces_the_old_one(tmp_path):

    load(tmp_path)
    before = Work.objects.get(code="t3").picture
    write_folder(tmp_path)
    Image.new("RGB", (900, 600), "#000000").save(tmp_path / "slack.png")
    report = import_show(folder=read_show_folder(tmp_path), now=NOW)
    assert counts(report) == {"works": (0, 1, 0)}
    assert Work.objects.get(code="t3").picture != before
    assert not Picture.objects.filter(pk=before.pk).exists()


def test_two_files_with_the_same_picture_share_one_row(tmp_path):

    write_folder(tmp_path)
    note = PngImagePlugin.PngInfo()
    note.add_text("Comment", "the same picture, another file")
    Image.open(tmp_path / "ebb.png").save(tmp_path / "slack.png", pnginfo=note)
    import_show(folder=read_show_folder(tmp_path), now=NOW)
    assert Work.objects.get(code="t1").picture == Work.objects.get(code="t3").picture
    assert import_show(folder=read_show_folder(tmp_path), now=NOW).is_unchanged


def test_folder_with_a_refusal_stores_nothing(tmp_path):
    with pytest.raises(NotReady):
        load(tmp_path, levels="name;money;promise\nNothing;minus;–\n")
    assert not Show.objects.exists()
    assert not Studio.objects.exists()


def test_refused_import_leaves_every_earlier_row_as_it_was(tmp_path):
    show = load(tmp_path).show
    publish_show(show=show, now=NOW)
    for _ in range(6):
        order(show, copies=2)
    walls = TABLES["walls"].replace("6,20 m", "6,40 m")
    with pytest.raises(Refusal) as caught:
        load(tmp_path, edition=TABLES["edition"].replace(";20;", ";11;"), walls=walls)
    assert "copy 12 is ordered; 12 or more would do" in caught.value.sentence
    assert show.walls.get(code="A").width_mm == 6200
    assert Copy.objects.count() == 20


def test_edition_may_grow_until_it_is_announced_and_shrink_as_far_as_the_orders_allow(tmp_path):
    show = load(tmp_path).show
    assert counts(load(tmp_path, edition=TABLES["edition"].replace(";20;", ";25;")))["copies"] == (5, 0, 0)
    publish_show(show=show, now=NOW)
    order(show, copies=2)
    assert counts(load(tmp_path, edition=TABLES["edition"].replace(";20;", ";2;")))["copies"] == (0, 0, 23)
    assert Copy.objects.filter(state="held").count() == 2
    with pytest.raises(EditionIsLimited):
        load(tmp_path, edition=TABLES["edition"].replace(";20;", ";3;"))
    assert Copy.objects.count() == 2


def test_new_price_is_for_new_orders_only(tmp_path):
    show = load(tmp_path).show
    publish_show(show=show, now=NOW)
    old = order(show)
    load(tmp_path, edition=TABLES["edition"].replace("65,00", "80,00"))
    new = order(show)
    assert (Pledge.objects.get(pk=old.pk).prints_minor, new.prints_minor) == (6500, 8000)


def test_ordered_edition_keeps_its_code(tmp_path):
    show = load(tmp_path).show
    publish_show(show=show, now=NOW)
    order(show)
    with pytest.raises(NotReady, match="ebb-print"):
        load(tmp_path, edition=TABLES["edition"].replace("ebb-print", "other"))


def test_edition_without_orders_may_change_its_code(tmp_path):
    load(tmp_path)
    load(tmp_path, edition=TABLES["edition"].replace("ebb-print", "other"))
    assert Edition.objects.get().code == "other"
    assert Copy.objects.count() == 20


def test_currency_stays_once_somebody_has_ordered(tmp_path):
    show = load(tmp_path).show
    load(tmp_path, settings=SETTINGS.replace('"EUR"', '"GBP"'), **_in_pounds())
    load(tmp_path, settings=SETTINGS)
    publish_show(show=show, now=NOW)
    order(show)
    with pytest.raises(NotReady, match="only EUR would do"):
        load(tmp_path, settings=SETTINGS.replace('"EUR"', '"GBP"'), **_in_pounds())


def _in_pounds():
    return {"prices": TABLES["prices"].replace("€ ", "").replace(" €", "")}


def test_closed_show_takes_no_other_folder_but_knows_its_own(tmp_path):
    show = load(tmp_path).show
    publish_show(show=show, now=NOW)
    close_campaign(show=show, now=NOW)
    assert load(tmp_path).is_unchanged
    with pytest.raises(NotInThisState):
        load(tmp_path, costs="name;amount;note\nCards;72,00;250 cards\n")


def test_staircase_is_not_rebuilt_for_the_same_folder(tmp_path):
    show = load(tmp_path).show
    run = refresh_staircase(show=show, now=NOW)
    load(tmp_path)
    assert refresh_staircase(show=show, now=NOW) == run

"""The commands as a person types them: what they print, what they refuse, and that twice is once."""

import json
import re
from io import StringIO

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.utils import timezone

from campaign.management.demonstration import load_demonstration
from campaign.models import CashEntry, OutboxMessage, Pledge, Show, StaircaseRun, Update
from campaign.queries.plan_request import read_plan_request
from campaign.services.payments import record_other_money
from campaign.services.plans import refresh_staircase, touch_inputs
from fulfilment.management.commands import demo
from fulfilment.management.demonstration import add_packing, add_paper
from fulfilment.models import Nest, PaperStock
from fulfilment.queries.packing_material import read_material
from tests.builders import NOW, pay, place
from tests.plain_shows import plan_show
from tests.showfolders import write_folder

pytestmark = pytest.mark.django_db


def command(*arguments, **options):
    out = StringIO()
    call_command(*arguments, stdout=out, **options)
    return out.getvalue()


def test_check_gives_every_row_a_verdict_and_writes_nothing(tmp_path):
    said = command("import_show", str(write_folder(tmp_path)), "--check")
    for row in ("walls.csv, row 2", "works.csv, row 4", "edition.csv, row 2", "show.toml, row 2"):
        assert f"\n{row}" in f"\n{said}"
    assert said.count(": ok:") > 40
    assert "Nothing was stored" in said
    assert not Show.objects.exists()


def test_import_says_what_changed_and_the_second_time_nothing(tmp_path):
    folder = str(write_folder(tmp_path))
    first, second = command("import_show", folder), command("import_show", folder)
    assert "works: 3 added" in first
    assert "copies: 20 added" in first
    assert "The show “tide” is new" in first
    assert "Nothing changed" in second
    assert StaircaseRun.objects.count() == 1


def test_one_refused_row_keeps_the_whole_folder_out(tmp_path):
    folder = str(write_folder(tmp_path, costs="name;amount\nCards;sixty\nReception;45\n"))
    out = StringIO()
    with pytest.raises(CommandError, match="1 refusal; nothing was stored"):
        call_command("import_show", folder, stdout=out)
    [line] = [line for line in out.getvalue().splitlines() if ": refused:" in line]
    assert line.startswith("costs.csv, row 2, column amount: refused: found “sixty”:")
    assert not Show.objects.exists()


def test_every_verdict_is_one_line(tmp_path):
    said = command("import_show", str(write_folder(tmp_path)), "--check")
    assert all(": " in line and "row" in line for line in said.splitlines()[:-1])


def test_import_that_would_break_an_order_is_refused_in_one_sentence(tmp_path, show):
    folder = tmp_path / "folder"
    settings = write_folder(folder).joinpath("show.toml")
    settings.write_text(settings.read_text().replace('code = "tide"', f'code = "{show.code}"'))
    place(show)
    with pytest.raises(CommandError, match="orders for the edition “harbour”"):
        call_command("import_show", str(folder), stdout=StringIO())


def test_plan_as_json_has_exactly_the_promised_keys(show):
    data = json.loads(command("plan", show.code, "--money", "200", "--json"))
    assert set(data) == {"money_minor", "cost_minor", "worth", "proved", "works", "next"}
    assert {key for work in data["works"] for key in work} == {
        "code", "size", "finish", "cost_minor", "wall", "x_mm", "y_mm",
    }  # fmt: skip
    assert set(data["next"]) == {"money_minor", "adds"}
    assert data["money_minor"] == 20_000
    assert data["cost_minor"] <= 20_000


def test_plan_is_the_engines_own_answer(show):
    expected = plan_show(read_plan_request(show), 20_000)
    data = json.loads(command("plan", show.code, money="200.00", as_json=True))
    assert (data["worth"], data["cost_minor"]) == (expected.worth, expected.cost_minor)
    assert [work["code"] for work in data["works"]] == [work.code for work in expected.works]


def test_more_money_never_buys_a_worse_show_and_the_top_has_no_next(show):
    plans = [json.loads(command("plan", show.code, money=str(euros), as_json=True)) for euros in range(0, 1001, 125)]
    worths = [plan["worth"] for plan in plans]
    assert worths == sorted(worths)
    assert plans[0]["works"] == []
    top = json.loads(command("plan", show.code, money="1.000.000,00", as_json=True))
    assert top["next"] is None
    assert top["worth"] >= worths[-1]


def test_plan_without_money_takes_the_wall_money_in_hand(show):
    pay(place(show, copies=3))
    data = json.loads(command("plan", show.code, "--json"))
    assert data["money_minor"] == 3 * (4_500 - 420 - 180) + 490 - 450


def test_wall_money_below_zero_hangs_nothing(show):
    record_other_money(
        show=show, key="van", kind="cost", amount_minor=2_000, happened_on=NOW.date(), text="A van", now=NOW
    )
    data = json.loads(command("plan", show.code, "--json"))
    assert data["money_minor"] == -2_000
    assert data["works"] == []


def test_plan_in_words_names_each_work_and_its_place(show):
    said = command("plan", show.code, "--money", "200")
    assert said.startswith("€200.00 buys ")
    assert "mm from the left" in said
    assert "The next better show starts at €" in said


def test_plan_in_words_opens_what_is_bought_for_the_show(show):
    show.price_items.filter(code="board").update(is_sold_in_packs=True, per_milli=2_000, price_minor=1_500)
    touch_inputs(show)
    said = command("plan", show.code, "--money", "400")
    assert re.search(r"bought for the show: Foam board 5 mm: .* m² needed, .*packs? of 2 m² .*; €\d+\.00", said)
    assert "the show as a whole: €35.00" in said


@pytest.mark.parametrize(("arguments", "sentence"), [
    (["nowhere"], "There is no show “nowhere”"),
    (["tideline", "--money", "a lot"], "--money: "),
    (["tideline", "--money=-20"], "less than nothing"),
])  # fmt: skip
def test_plan_refuses_nonsense_in_a_sentence(show, arguments, sentence):
    with pytest.raises(CommandError, match=sentence):
        command("plan", *arguments)


def test_demonstration_is_loaded_once_whole_and_agrees_with_its_rows(tmp_path):
    now = timezone.now()
    lines = []
    assert load_demonstration(folder=tmp_path, now=now, say=lines.append)
    assert len(lines) == 3
    show = Show.objects.get(code="demo")
    assert show.state == "open"
    assert Pledge.objects.filter(state="paid").count() >= 5
    assert Pledge.objects.filter(state="held").exists()
    assert all(show.opens_at <= placed_at <= now for placed_at in Pledge.objects.values_list("placed_at", flat=True))
    before = [model.objects.count() for model in (Pledge, CashEntry, Update, OutboxMessage)]
    assert not load_demonstration(folder=tmp_path, now=timezone.now(), say=lines.append)
    assert [model.objects.count() for model in (Pledge, CashEntry, Update, OutboxMessage)] == before
    refresh_staircase(show=show, now=now)
    assert [add_paper(show=show, now=now) for _ in range(2)] == [True, False]
    assert (PaperStock.objects.count(), Nest.objects.count()) == (2, 1)
    assert [add_packing(show=show, now=now) for _ in range(2)] == [True, False]
    material = read_material(show, today=now.date())
    assert sum(count.needed for count in material.counts) == 10  # every paid address fits into a mailer of the list
    assert (material.refused, material.unplanned, material.cautions) == (0, 0, ())
    assert "All figures agree" in command("verify")
    # An interrupted start: the last acts are missing, and only they are made up for.
    Update.objects.all().delete()
    assert load_demonstration(folder=tmp_path, now=timezone.now(), say=lines.append)
    assert [model.objects.count() for model in (Pledge, CashEntry, Update)] == before[:3]


def test_demonstration_with_its_known_password_never_runs_on_a_public_site(settings):
    settings.LAPTOP = False
    with pytest.raises(CommandError, match="WALLFUL_DEBUG"):
        command("demo", "--no-serve")
    assert not get_user_model().objects.filter(username=demo.USER).exists()

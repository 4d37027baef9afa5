"""Price book, shelf, finishes and gifts in kind: read back as saved, refused at the field with what would be right."""

from datetime import date

import pytest
from django.urls import reverse

from campaign.forms.prices import NO_EFFECT
from campaign.models import GiftInKind, PriceStep, RecipeLine, SizePrice
from campaign.queries.plan_request import read_plan_request
from tests.builders import pay, place
from tests.campaign.views.studio_forms import filled, words_of


def edit(client, name, *parts, **changes):
    """Open the page, type `changes` over what stands there, send it."""
    url = reverse(f"campaign:{name}", args=parts)
    return client.post(url, {**filled(client.get(url), **changes), "save": "1"}, follow=True)


def _packs(show):
    item = show.price_items.get(code="moulding")
    item.is_sold_in_packs, item.per_milli, item.price_minor = True, 3_000, 2_000
    item.save()
    return item


def test_packs_steps_and_shelf_are_kept_and_shown_again(ada_client, show):
    changes = {
        "per_milli": "3", "price_minor": "20", "is_sold_in_packs": "on", "shelf_milli": "4.5",
        "steps-0-from_packs": "4", "steps-0-price_minor": "17,00 €",
    }  # fmt: skip
    answer = edit(ada_client, "price", "tideline", "moulding", **changes)
    item = show.price_items.get(code="moulding")
    assert (item.is_sold_in_packs, item.per_milli, item.shelf_milli) == (True, 3_000, 4_500)
    assert [(step.from_packs, step.price_minor) for step in item.steps.all()] == [(4, 1_700)]
    assert "a pack of 3 m" in answer.content.decode()
    assert "4.5 m" in answer.content.decode()
    assert "from 4 packs" in answer.content.decode()
    edit(ada_client, "price", "tideline", "moulding")  # once more as it stands
    assert item.steps.count() == 1


def _sized(show):
    """Acrylic that every recipe takes by its size table."""
    item = show.price_items.get(code="acrylic")
    item.unit = "piece"
    item.save()
    SizePrice.objects.create(item=item, width_mm=900, height_mm=900, price_minor=1_500)
    RecipeLine.objects.filter(item=item).update(basis="outer_size")
    return item


def test_what_goes_by_its_size_table_alone_says_which_fields_have_no_effect(ada_client, show):
    item = _sized(show)
    page = ada_client.get(reverse("campaign:price", args=["tideline", "acrylic"]))
    assert page.content.decode().count(NO_EFFECT) == 4
    shelf = ada_client.get(reverse("campaign:shelf", args=["tideline"]))
    assert shelf.content.decode().count(NO_EFFECT) == 1
    before = read_plan_request(show)
    show.price_items.filter(pk=item.pk).update(price_minor=9_999, per_milli=3, is_sold_in_packs=True, shelf_milli=9_000)
    assert read_plan_request(show).works == before.works
    RecipeLine.objects.create(finish=show.finishes.get(code="board"), item=item, basis="piece", position=9)
    for name, parts in (("price", ["acrylic"]), ("shelf", [])):
        assert NO_EFFECT not in ada_client.get(reverse(f"campaign:{name}", args=["tideline", *parts])).content.decode()


def test_what_if_offers_no_price_that_changes_nothing(ada_client, show):
    url = reverse("campaign:what_if", args=["tideline"])
    assert "acrylic" in dict(ada_client.get(url).context["form"].fields["item"].choices)
    _sized(show)
    offered = dict(ada_client.get(url).context["form"].fields["item"].choices)
    assert "acrylic" not in offered and "moulding" in offered


def test_size_table_is_kept_and_taken_by_a_recipe(ada_client, show):
    url = reverse("campaign:new_price", args=["tideline"])
    data = filled(ada_client.get(url), name="Lab print", price_minor="0", per_milli="1", unit="piece")
    data |= {"sizes-0-size": "40 x 60", "sizes-0-price_minor": "26", "save": "1"}
    ada_client.post(url, data)
    assert show.price_items.get(code="lab-print").size_prices.get().width_mm == 400
    changes = {"lines-0-item_code": "lab-print", "lines-0-basis": "print_size"}
    answer = edit(ada_client, "finish", "tideline", "board", **changes)
    page = answer.content.decode()
    assert "1 piece up to 40 × 60 cm × €26.00" in page
    assert "the size table of “Lab print” has no row for 60 × 45 cm" in page  # not offered, and why
    assert all(
        option.size_code == "400x300" or option.finish_code != "board"
        for work in read_plan_request(show).works
        for option in work.options
    )


@pytest.mark.parametrize(
    ("changes", "form", "field", "words"),
    [
        (
            {"steps-0-from_packs": "4", "steps-0-price_minor": "5"},
            "form",
            "is_sold_in_packs",
            "Price steps count packs",
        ),
        ({"sizes-0-size": "A3", "sizes-0-price_minor": "5"}, "form", "unit", "A size table prices pieces"),
        ({"steps-0-from_packs": "1", "steps-0-price_minor": "5"}, "steps", "from_packs", "a whole number from 2"),
        ({"steps-0-from_packs": "4"}, "steps", "price_minor", "This field is required."),
        ({"shelf_milli": "-2"}, "form", "shelf_milli", "0 or more"),
        ({"priced_on": "soon"}, "form", "priced_on", "a date such as"),
    ],
)
def test_wrong_entry_says_at_its_field_what_would_be_right(ada_client, show, changes, form, field, words):
    answer = edit(ada_client, "price", "tideline", "moulding", **changes)
    found = answer.context[form]
    found = found.forms[0] if form != "form" else found
    assert words in found.errors[field][0]
    assert not PriceStep.objects.exists()


def test_step_or_size_that_stands_there_twice_is_refused(ada_client, show):
    PriceStep.objects.create(item=_packs(show), from_packs=4, price_minor=1_700)
    changes = {"steps-1-from_packs": "4", "steps-1-price_minor": "16"}
    answer = edit(ada_client, "price", "tideline", "moulding", **changes)
    assert "stands here already" in answer.context["steps"].forms[1].errors["from_packs"][0]


def test_more_rows_keep_what_is_typed(ada_client, show):
    url = reverse("campaign:price", args=["tideline", "moulding"])
    changes = {"name": "Typed", "steps-0-from_packs": "many", "more": "1"}
    answer = ada_client.post(url, filled(ada_client.get(url), **changes))
    assert answer.context["steps"].forms[0]["from_packs"].value() == "many"
    assert len(answer.context["steps"].forms) == 2
    assert show.price_items.get(code="moulding").name == "Oak moulding 20 mm"


def test_old_prices_are_flagged_from_the_day_on_that_is_typed(ada_client, show):
    show.price_items.filter(code="paper").update(priced_on=date(2026, 2, 1))
    show.price_items.exclude(code="paper").update(priced_on=date(2026, 1, 31))
    url = reverse("campaign:prices", args=["tideline"])
    assert ">old</span>" not in ada_client.get(url).content.decode()
    answer = ada_client.post(url, {"old_prices_before_on": "2026-02-01"}, follow=True)
    show.refresh_from_db()
    assert show.old_prices_before_on == date(2026, 2, 1)
    assert answer.content.decode().count(">old</span>") == show.price_items.count() - 1
    answer = ada_client.post(url, {"old_prices_before_on": "lately"})
    assert "a date such as" in answer.context["form"].errors["old_prices_before_on"][0]


def test_price_without_a_date_counts_as_old(ada_client, show):
    ada_client.post(reverse("campaign:prices", args=["tideline"]), {"old_prices_before_on": "2026-02-01"})
    page = ada_client.get(reverse("campaign:prices", args=["tideline"])).content.decode()
    assert page.count(">old</span>") == show.price_items.count()


def test_shelf_is_counted_in_one_go(ada_client, show):
    url = reverse("campaign:shelf", args=["tideline"])
    page = ada_client.get(url)
    names = {field.label: field.html_name for field in page.context["form"]}
    data = filled(page) | {names["Acrylic 2 mm, square metres"]: "1.5", names["Ink, square metres"]: ""}
    ada_client.post(url, data)
    assert show.price_items.get(code="acrylic").shelf_milli == 1_500
    assert read_plan_request(show).supplies[0].code == "acrylic"
    answer = ada_client.post(url, data | {names["Ink, square metres"]: "a lot"})
    assert "write a number such as 12" in answer.context["form"].errors[names["Ink, square metres"]][0]


def test_finish_keeps_what_it_charges_and_how_long_it_takes(ada_client, show):
    changes = {
        "setup_minor": "25", "least_minor": "80 €", "lead_days": "5", "depth_mm": "3 cm", "drop_mm": "45 mm",
        "is_glazed": "on",
    }  # fmt: skip
    answer = edit(ada_client, "finish", "tideline", "frame", **changes)
    finish = show.finishes.get(code="frame")
    assert (finish.setup_minor, finish.least_minor, finish.lead_days) == (2_500, 8_000, 5)
    assert (finish.depth_mm, finish.drop_mm, finish.is_glazed) == (30, 45, True)
    assert "€25.00, once" in answer.content.decode()


def test_finish_that_takes_too_long_is_not_offered_and_the_page_says_why(ada_client, show):
    answer = edit(ada_client, "finish", "tideline", "frame", lead_days="300")
    assert "it takes 300 working days after printing" in answer.content.decode()


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"lines-0-basis": "print_size"}, "basis", "has no size table"),
        ({"lines-3-item_code": "moulding", "lines-3-basis": "ink_area"}, "basis", "by the millilitre or square metre"),
    ],
)
def test_recipe_line_that_cannot_be_reckoned_is_refused_at_its_row(ada_client, show, changes, field, words):
    answer = edit(ada_client, "finish", "tideline", "board", **changes)
    row = int(next(iter(changes)).split("-")[1])
    assert words in answer.context["rows"].forms[row].errors[field][0]


def test_gifts_are_one_table_and_thanked_on_the_public_page(ada_client, client, show):
    answer = edit(
        ada_client, "gifts", "tideline",
        **{"gifts-0-giver": "The Net Loft", "gifts-0-item_code": "acrylic", "gifts-0-quantity_milli": "2",
           "gifts-0-value_minor": "78", "gifts-0-thanks": "Two square metres of acrylic",
           "gifts-1-giver": "Aunt Example", "gifts-1-item_code": "moulding", "gifts-1-work_code": "w01"},
    )  # fmt: skip
    assert answer.redirect_chain
    gifts = GiftInKind.objects.order_by("pk")
    assert [gift.value_minor for gift in gifts] == [7_800, None]
    assert [(gift.giver, gift.quantity_milli, gift.work and gift.work.code) for gift in gifts] == [
        ("The Net Loft", 2_000, None), ("Aunt Example", 0, "w01"),
    ]  # fmt: skip
    page = client.get(reverse("campaign:show", args=["tideline"])).content.decode()
    assert "Supported by" in page
    assert "Two square metres of acrylic" in page
    assert "Aunt Example" not in page
    prices = ada_client.get(reverse("campaign:prices", args=["tideline"])).content.decode()
    assert "2 m² of it given" in prices


def test_public_page_without_thanks_says_nothing_of_gifts(client, show):
    GiftInKind.objects.create(show=show, giver="X", item=show.price_items.get(code="ink"), quantity_milli=5)
    assert "Supported by" not in client.get(reverse("campaign:show", args=["tideline"])).content.decode()


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({}, "quantity_milli", "Write how much is given, or choose the work"),
        ({"quantity_milli": "2", "work_code": "w01"}, "quantity_milli", "leave one of the two empty"),
        ({"quantity_milli": "a few"}, "quantity_milli", "write a number such as"),
        ({"quantity_milli": "2", "item_code": ""}, "item_code", "required"),
    ],
)
def test_gift_that_cannot_be_right_is_refused_at_its_row(ada_client, show, changes, field, words):
    row = {"giver": "The Net Loft", "item_code": "acrylic"} | changes
    answer = edit(ada_client, "gifts", "tideline", **{f"gifts-0-{name}": value for name, value in row.items()})
    assert words in answer.context["rows"].forms[0].errors[field][0]
    assert not GiftInKind.objects.exists()


def test_given_entry_stays_in_the_price_book(ada_client, show):
    item = show.price_items.create(code="gold", name="Gold leaf", unit="piece", price_minor=900)
    GiftInKind.objects.create(show=show, giver="The Net Loft", item=item, quantity_milli=5_000)
    answer = ada_client.post(reverse("campaign:delete_price", args=["tideline", "gold"]), follow=True)
    assert "because The Net Loft gives it" in words_of(answer)[0]


def test_quantity_of_what_is_priced_by_size_is_refused_in_words(ada_client, show):
    item = show.price_items.create(code="lab", name="Lab print", unit="piece", price_minor=0)
    item.size_prices.create(width_mm=900, height_mm=900, price_minor=2_000)
    show.finishes.get(code="board").recipe_lines.create(item=item, basis="print_size")
    gift = {"gifts-0-giver": "The Lab", "gifts-0-item_code": "lab", "gifts-0-quantity_milli": "3"}
    answer = edit(ada_client, "gifts", "tideline", **gift)
    assert "priced by size" in words_of(answer)[0]
    assert not GiftInKind.objects.exists()


def test_standing_shows_what_is_bought_and_adds_up(ada_client, show):
    edit(ada_client, "price", "tideline", "moulding", per_milli="3", price_minor="20", is_sold_in_packs="on")
    edit(ada_client, "finish", "tideline", "frame", setup_minor="25")
    for _ in range(8):
        pay(place(show))
    page = ada_client.get(reverse("campaign:standing", args=["tideline"])).context["page"]
    assert page.bill.total_minor == page.plan.cost_minor <= page.standing.in_hand_minor
    assert {line.text for line in page.bill.bought} == {"Oak moulding 20 mm", "Framed behind acrylic, set-up"}

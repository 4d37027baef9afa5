"""Measure in a browser: a wall drawn while it is typed, with and without script; works moved and steps taken back."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.test_keyboard import press, tab_to
from tests.browser.visitor import DESKTOP, PHONE, Visitor

pytestmark = pytest.mark.browser

MEASURE = "/studio/demo/measure/"
ROWS = "code\ttitle\tneed\tsizes\nw01\t\t1\t\nnew\tEbb\t\t30x20cm\n"


def type_two_rows(page: Page) -> None:
    """The north wall made seven metres long, with two rows."""
    page.get_by_label("Length along the floor").fill("7 m")
    page.get_by_label("Works hang in").select_option("2")
    page.get_by_label("Between the two rows").fill("12 cm")
    page.get_by_label("Tallest work of a row").fill("60 cm")


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_a_wall_is_drawn_while_it_is_typed(visit: Callable[..., Visitor], size: tuple[int, int]) -> None:
    visitor = visit(size=size, name="typed-wall")
    visitor.sign_in()
    visitor.open(f"{MEASURE}walls/of/north/")
    page, drawing = visitor.page, visitor.page.locator("#drawing")
    type_two_rows(page)
    expect(drawing).to_contain_text("As typed, not saved yet: 700 cm long")
    expect(drawing.locator("line.el-centre")).to_have_count(2)  # drawn anew after each field, the rows last
    assert page.get_by_label("Tallest work of a row").input_value() == "60 cm"
    visitor.see("two-rows")
    page.get_by_label("Length along the floor").fill("seven")
    expect(drawing).to_contain_text("drawn once its length and height can be read")


def test_without_script_a_button_draws_it_and_nothing_is_stored(visit: Callable[..., Visitor]) -> None:
    visitor = visit(size=PHONE, name="typed-wall-plain", script=False)
    visitor.sign_in()
    visitor.open(f"{MEASURE}walls/of/north/")
    before = visitor.page.get_by_label("Length along the floor").input_value()
    type_two_rows(visitor.page)
    visitor.page.get_by_role("button", name="Draw it").click()
    expect(visitor.page.locator("#drawing")).to_contain_text("As typed, not saved yet: 700 cm long")
    visitor.see("drawn")
    visitor.open(f"{MEASURE}walls/of/north/")
    assert visitor.page.get_by_label("Length along the floor").input_value() == before


def test_works_are_moved_and_the_step_taken_back_by_keyboard(visit: Callable[..., Visitor]) -> None:
    visitor = visit(size=DESKTOP, name="table")
    visitor.sign_in()
    page = visitor.page
    visitor.open(f"{MEASURE}works/")
    press(page, "a[href='/studio/demo/measure/works/?as=table']")
    first, second = page.locator("tbody th a").all_inner_texts()[:2]
    visitor.see("table")
    press(page, "button[name=down][value=w01]")
    assert page.locator("tbody th a").all_inner_texts()[:2] == [second, first]
    visitor.see("moved")
    tab_to(page, "form.step button")
    press(page, "form.step button")
    expect(page.locator(".messages")).to_contain_text("Taken back.")
    visitor.open(f"{MEASURE}works/?as=table")
    assert page.locator("tbody th a").all_inner_texts()[:2] == [first, second]


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_works_are_pasted_after_a_look(visit: Callable[..., Visitor], size: tuple[int, int]) -> None:
    visitor = visit(size=size, name="paste")
    visitor.sign_in()
    page = visitor.page
    visitor.open(f"{MEASURE}works/paste/")
    for text, words in ((ROWS.replace("30x20cm", "big"), "column sizes"), (ROWS, "1 work added, 1 changed.")):
        page.get_by_label("The rows, headings first").fill(text)
        page.locator("button[name=look]").click()
        expect(page.locator("#rows")).to_contain_text(words)
        visitor.see("looked-at")
    page.get_by_role("button", name="Store all 2 rows").click()
    expect(page.locator(".messages")).to_contain_text("1 work added, 1 changed.")
    expect(page.get_by_role("link", name="Ebb", exact=True)).to_be_visible()


def test_a_work_is_tied_to_another(visit: Callable[..., Visitor]) -> None:
    visitor = visit(size=PHONE, name="ties")
    visitor.sign_in()
    page = visitor.page
    visitor.open(f"{MEASURE}works/of/w01/")
    page.get_by_label("Other work").select_option("w03")
    page.get_by_role("button", name="Tie them").click()
    expect(page.locator("#ties")).to_contain_text("Not side by side with")
    visitor.see("tied")
    page.get_by_role("button", name="take away this tie").click()
    expect(page.locator("#ties")).to_contain_text("None: it may hang beside any other")
    visitor.open(f"{MEASURE}works/of/w01/worths/")
    visitor.see("worths")

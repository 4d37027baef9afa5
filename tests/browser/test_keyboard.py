"""Order form and payment form with Tab, Enter, Space and letters only; the focus can be seen at every stop."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from tests.browser.ordering import LEAST_OPEN_MS, reference_on
from tests.browser.visitor import DESKTOP, Visitor

pytestmark = pytest.mark.browser

MOST_STOPS = 250
LOOK = """() => {
  const at = document.activeElement, style = getComputedStyle(at), box = at.getBoundingClientRect();
  return {
    what: at.outerHTML.slice(0, 120),
    ring: (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0) || style.boxShadow !== "none",
    inView: box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth,
  };
}"""


def tab_to(page: Page, selector: str) -> None:
    """Press Tab until the focus is at `selector`, if it is not there yet; every stop on the way can be seen."""
    for _ in range(MOST_STOPS):
        if page.evaluate("selector => document.activeElement.matches(selector)", selector):
            return
        page.keyboard.press("Tab")
        stop = page.evaluate(LOOK)
        assert stop["ring"], f"no focus ring at {stop['what']}"
        assert stop["inView"], f"the focus is out of view at {stop['what']}"
    raise AssertionError(f"{selector} is not reached with Tab")


def type_into(page: Page, selector: str, text: str) -> None:
    """Reach a field and type."""
    tab_to(page, selector)
    page.keyboard.type(text)


def press(page: Page, selector: str, key: str = "Enter") -> None:
    """Reach a button or a link, or a field of a form to send, and press; on the next page when this returns."""
    tab_to(page, selector)
    with page.expect_navigation():
        page.keyboard.press(key)


def test_the_skip_link_leads_to_the_content(visit: Callable[..., Visitor]) -> None:
    visitor = visit(size=DESKTOP, name="skip")
    visitor.open("/show/demo/")
    press(visitor.page, "a.skip")
    assert visitor.page.evaluate("document.activeElement.id") == "main"
    visitor.page.keyboard.press("Tab")
    assert visitor.page.evaluate("document.activeElement.closest('main') !== null")


def test_an_order_and_its_payment_need_no_mouse(visit: Callable[..., Visitor]) -> None:
    visitor = visit(size=DESKTOP, name="keys")
    page = visitor.page
    visitor.open("/show/demo/")
    type_into(page, "select[name=country]", "United K")
    press(page, "main button[type=submit]")
    assert page.locator("select[name=country]").input_value() == "GB"
    tab_to(page, "[name=copies_low-water]")
    page.keyboard.press("ArrowDown")
    assert page.locator("[name=copies_low-water][value='2']").is_checked()
    type_into(page, "form[method=post] [name=name]", "Kim Sample")
    type_into(page, "[name=email]", "kim@example.org")
    type_into(page, "[name=street_address]", "1 Sample Lane")
    type_into(page, "[name=city]", "London")
    type_into(page, "[name=postal_code]", "SW1A 2AA")
    tab_to(page, "[name=wants_updates]")
    page.keyboard.press("Space")
    assert page.locator("[name=wants_updates]").is_checked()
    press(page, "button[value=check]")
    page.wait_for_timeout(LEAST_OPEN_MS)
    press(page, "button[value=place]")
    reference = reference_on(page)

    page.goto("/studio/")
    type_into(page, "[name=username]", "ada")
    type_into(page, "[name=password]", "ebb-tide-at-four")
    press(page, "[name=password]")
    press(page, "a[href='/studio/demo/fund/']")
    press(page, "a[href='/studio/demo/fund/pledges/']")
    type_into(page, "[name=words]", reference)
    press(page, "[name=words]")
    press(page, "tbody th a")
    press(page, "a[href$='/payment/']")
    tab_to(page, "[name=way]")
    page.keyboard.type("cheque")
    press(page, "main form button[type=submit]", "Space")
    assert "is paid" in page.locator(".messages").inner_text()

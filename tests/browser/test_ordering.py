"""A visitor's journey: from the public page to an order, its mail, its private link, another address, the end of it."""

from collections.abc import Callable

import pytest

from tests.browser.ordering import (
    GRAUHAVEN,
    LONDON,
    Wish,
    check_order,
    complaint_at,
    fill,
    open_order_form,
    order,
    place_order,
    reference_on,
)
from tests.browser.sink import link_in, text_of
from tests.browser.site import Site
from tests.browser.visitor import DESKTOP, PHONE, Visitor

pytestmark = pytest.mark.browser

SCREENS = pytest.mark.parametrize(
    ("size", "script"),
    [(PHONE, True), (DESKTOP, True), (PHONE, False)],
    ids=["phone", "desktop", "phone-without-script"],
)


@SCREENS
def test_a_visitor_orders_changes_the_address_and_cancels_another_order(
    site: Site, visit: Callable[..., Visitor], size: tuple[int, int], script: bool
) -> None:
    visitor = visit(size=size, name="orders" if script else "orders-plain", script=script)
    page = visitor.page
    visitor.open("/")
    visitor.see("public-page")
    assert page.locator("script").count() == 0
    open_order_form(visitor, country="GB")
    visitor.see("order-form")
    make_every_mistake(visitor)

    fill(page, Wish("Wilma Sample", "wilma@example.org", "GB", LONDON, copies=2, gift="10"))
    check_order(page)
    visitor.see("check")
    assert "€113.50" in page.locator(".total").inner_text()  # 2 × 42.00 + 19.50 postage + 10.00
    place_order(page)
    visitor.see("confirmation")
    reference = reference_on(page)
    code = page.get_by_alt_text("Code for a banking app")
    assert (code.bounding_box() or {"width": 0})["width"] > 100
    assert "Copies" in page.locator(".standing").inner_text()

    [mail] = site.sink.wait_for(lambda mail: mail["To"] == "wilma@example.org")
    assert reference in text_of(mail).replace(" ", "")
    change_address(visit(size=size, name="link", script=script), path=link_in(mail, "/m/"), site=site)
    cancel_another(visitor, site=site)


def make_every_mistake(visitor: Visitor) -> None:
    """Nothing typed; a postcode of nowhere, an address without @, words for money; too many copies."""
    page = visitor.page
    check_order(page)
    visitor.see("nothing-typed")
    for name in ("name", "email", "street_address", "city", "postal_code"):
        assert complaint_at(page, name).endswith("."), f"no sentence at {name}"
    assert page.locator("#errors a").count() == 5

    wrong = LONDON | {"postal_code": "1234"}
    fill(page, Wish("Wilma Sample", "wilma at example", "GB", wrong, copies=2, gift="a few coins"))
    check_order(page)
    visitor.see("nonsense-typed")
    for name in ("email", "postal_code", "gift"):
        assert complaint_at(page, name).endswith("."), f"no sentence at {name}"
    kept = {"name": "Wilma Sample", "email": "wilma at example", "gift": "a few coins", **wrong}
    for name, text in kept.items():
        assert page.locator(f"[name={name}]").input_value() == text
    assert page.locator("[name=copies_low-water][value='2']").is_checked()


def change_address(visitor: Visitor, *, path: str, site: Site) -> None:
    """Through the private link of the mail, in a browser that has never been here."""
    page = visitor.page
    visitor.open(path)
    page.get_by_role("link", name="Change the address").click()
    visitor.see("address-form")
    page.locator("[name=postal_code]").fill("")
    page.get_by_role("button", name="Post it there").click()
    assert complaint_at(page, "postal_code")
    visitor.see("address-wrong")
    page.locator("[name=street_address]").fill("2 Sample Lane")
    page.locator("[name=postal_code]").fill("sw1a2aa")
    page.get_by_role("button", name="Post it there").click()
    visitor.see("address-changed")
    assert "2 Sample Lane" in page.locator("main").inner_text()
    assert "SW1A 2AA" in page.locator("main").inner_text()
    site.sink.wait_for(lambda mail: mail["To"] == "wilma@example.org", count=2)


def cancel_another(visitor: Visitor, *, site: Site) -> None:
    """One more order, of somebody who wants too many first; then its end."""
    page = visitor.page
    order(visitor, Wish("Wim Muster", "wim@example.org", "DE", GRAUHAVEN, copies=3))
    page.get_by_role("link", name="Cancel it").click()
    visitor.see("cancel-asked")
    page.get_by_role("button", name="Cancel it").click()
    visitor.see("cancelled")
    assert "is cancelled" in page.locator(".standing").inner_text()
    site.sink.wait_for(lambda mail: mail["To"] == "wim@example.org", count=2)


def test_more_copies_than_one_person_may_have_are_refused_in_words(site: Site, visit: Callable[..., Visitor]) -> None:
    visitor = visit(size=PHONE, name="limit")
    greedy = Wish("Gilbert Sample", "gilbert@example.org", "DE", GRAUHAVEN, copies=3)
    order(visitor, greedy)
    open_order_form(visitor, country="DE")
    fill(visitor.page, greedy)
    check_order(visitor.page)
    place_order(visitor.page)
    visitor.see("too-many")
    said = visitor.page.locator("main [role=alert]").inner_text()
    assert "3" in said
    assert visitor.page.locator("[name=name]").input_value() == "Gilbert Sample"
    forced = "document.querySelector('[name=copies_low-water]').value = '9'"
    visitor.page.evaluate(forced)
    visitor.page.locator("[name=copies_low-water][value='9']").check()
    check_order(visitor.page)
    assert complaint_at(visitor.page, "copies_low-water")

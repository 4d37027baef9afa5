"""What a visitor does on the public side, step by step, as the journeys need it."""

import re
from dataclasses import dataclass, field

from playwright.sync_api import Page, TimeoutError

from tests.browser.visitor import Visitor

COMPLAINT_PATIENCE_MS = 10_000
LEAST_OPEN_MS = 2_100  # a form that comes back sooner was filled in by a program

LONDON = {"street_address": "1 Sample Lane", "city": "London", "postal_code": "SW1A 2AA"}
GRAUHAVEN = {"street_address": "Musterdeich 9", "city": "Grauhaven", "postal_code": "99998"}


@dataclass(frozen=True, slots=True)
class Wish:
    """What a visitor types into the order form."""

    name: str
    email: str
    country: str
    address: dict[str, str] = field(default_factory=dict)
    copies: int = 1
    gift: str = ""
    wants_updates: bool = True


def open_order_form(visitor: Visitor, *, country: str) -> None:
    """From the public page to the form for a country, as a reader goes."""
    page = visitor.page
    visitor.open("/")
    page.locator("select[name=country]").first.select_option(country)
    page.get_by_role("button", name="Order the print").first.click()


def fill(page: Page, wish: Wish) -> None:
    """Type everything, without sending it."""
    page.locator("[name=name]").fill(wish.name)
    page.locator("[name=email]").fill(wish.email)
    for key, text in wish.address.items():
        page.locator(f"[name={key}]").fill(text)
    page.locator(f"[name^=copies_][value='{wish.copies}']").first.check()
    page.locator("[name=gift]").fill(wish.gift)
    page.locator("[name=way][value=transfer]").check()
    page.locator("[name=wants_updates]").set_checked(wish.wants_updates)


def check_order(page: Page) -> None:
    """On to the page that shows the sum."""
    page.get_by_role("button", name="Check the order").click()


def place_order(page: Page) -> None:
    """From the page that shows the sum to the order's own page."""
    page.wait_for_timeout(LEAST_OPEN_MS)
    page.get_by_role("button", name="Order with the duty to pay").click()


def order(visitor: Visitor, wish: Wish) -> str:
    """The whole way without stops; the order's reference."""
    open_order_form(visitor, country=wish.country)
    fill(visitor.page, wish)
    check_order(visitor.page)
    place_order(visitor.page)
    return reference_on(visitor.page)


def reference_on(page: Page) -> str:
    """The payment reference that a page shows, without spaces."""
    found = re.search(r"RF\d\d[ 0-9A-Z]+", page.locator("main").inner_text())
    assert found, "no reference on the page"
    return found[0].replace(" ", "")


def complaint_at(page: Page, name: str) -> str:
    """What the page says at a field; "" if nothing. The field itself must point at the sentence."""
    fields = page.locator(f"[name={name}]")
    at = page.locator(f"#id_{name}_error, #error_1_id_{name}, #div_id_{name} .invalid-feedback").first
    try:  # the answer to the click may still be on its way
        at.wait_for(state="attached", timeout=COMPLAINT_PATIENCE_MS)
    except TimeoutError:
        return ""
    if fields.count() == 1:
        assert fields.get_attribute("aria-invalid") == "true", f"{name} is not marked as wrong"
    assert at.is_visible(), f"the sentence at {name} cannot be seen"
    return at.inner_text().strip()

"""A walk through every page that can be opened, at both widths: axe, CSP, console, foreign requests, scrolling."""

import os
from collections.abc import Callable, Iterator
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, resolve

from tests.browser.sink import link_in, text_of
from tests.browser.site import Site
from tests.browser.visitor import DESKTOP, NARROW, PHONE, Visitor

pytestmark = pytest.mark.browser

MOST_PAGES = 180
# They answer only to a POST, are no page, or are another page under a second name.
NO_PAGE = {
    "campaign:art", "campaign:thumbnail", "campaign:healthz", "campaign:readyz", "campaign:metrics",
    "campaign:sign_out", "campaign:publish", "campaign:trial", "campaign:settle_message", "campaign:call_off",
    "campaign:paper", "campaign:take_back", "campaign:draw_wall", "campaign:tie", "campaign:untie",
    "campaign:meet_deadline", "campaign:calendar", "campaign:mend_level", "fulfilment:mark_copies",
    "fulfilment:register_pdf", "fulfilment:certificates", "fulfilment:certificates_pdf",
    "fulfilment:certificate_papers", "fulfilment:papers_pdf",
    "fulfilment:send_notices", "fulfilment:papers_again", "fulfilment:hanging_sheet", "campaign:bank_back",
    "fulfilment:call_off_notices", "fulfilment:send_parcel_again", "fulfilment:packing_contents",
    "fulfilment:parcels_csv", "fulfilment:parcels_xlsx", "fulfilment:pack_parcel", "fulfilment:open_parcel",
    "campaign:bank_book", "campaign:bank_forget", "campaign:bank_other", "campaign:bank_pass",
    "campaign:bank_refund", "campaign:bank_tie", "campaign:bank_to_order", "campaign:compare_cards",
    "campaign:retry_refund", "campaign:card_messages", "campaign:cash_book_csv", "campaign:cash_book_xlsx",
    "campaign:my_bill", "campaign:pledges_csv", "campaign:pledges_xlsx", "campaign:prospectus",
    "campaign:to_send_csv", "campaign:to_send_xlsx", "campaign:ask_again", "fulfilment:take_out",
    "campaign:my_late", "campaign:my_request", "campaign:news_feed", "campaign:not_by_itself",
    "campaign:write_news_again", "fulfilment:mark_wall_prints", "fulfilment:lay_prints", "fulfilment:mark_sheet",
    "fulfilment:cut_drawings_pdf", "fulfilment:pack_anyway", "campaign:pause", "campaign:my_address_right",
    "fulfilment:call_off_addresses", "fulfilment:mark_proofs", "fulfilment:reckon_parcels",
}  # fmt: skip
# A site without a card processor never leads there.
NEEDS_KEYS = {"campaign:my_card", "campaign:my_card_back"}
# What looks different once the campaign is closed and the papers are made.
CHANGED_BY_PRINTING = {
    "campaign:show", "campaign:order", "campaign:standing", "campaign:fund", "campaign:close", "campaign:pledge",
    "campaign:my_pledge", "campaign:job", "fulfilment:print", "fulfilment:end_printing", "fulfilment:send",
    "fulfilment:hang", "fulfilment:settle", "fulfilment:register", "fulfilment:certificate_text",
    "fulfilment:print_list", "fulfilment:cutting", "fulfilment:print_days", "fulfilment:shopping",
}  # fmt: skip


def names_of(patterns: list[URLPattern | URLResolver], space: str = "") -> Iterator[str]:
    """The names of all URLs, with their namespace."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from names_of(pattern.url_patterns, f"{pattern.namespace}:" if pattern.namespace else space)
        elif pattern.name:
            yield f"{space}{pattern.name}"


class Walk:
    """Follows the links of the pages it sees; of pages that differ only in whose they are it sees one."""

    def __init__(self, visitor: Visitor) -> None:
        self.visitor = visitor
        self.seen: set[tuple[str, tuple[str, ...]]] = set()
        self.names: set[str] = set()

    def from_pages(self, *paths: str) -> None:
        """See these pages and every page that can be reached from them."""
        waiting = list(paths)
        while waiting:
            path = waiting.pop(0)
            if self._is_new(path):
                assert len(self.seen) <= MOST_PAGES, "the walk does not end"
                waiting += self._see(path)

    def look_again_at(self, names: set[str]) -> None:
        """Forget that these were seen: the show is in another state now."""
        self.seen = {key for key in self.seen if key[0] not in names}

    def _is_new(self, path: str) -> bool:
        parts = urlsplit(path)
        name = resolve(parts.path).view_name
        key = (name, tuple(sorted(parse_qs(parts.query))))
        if key in self.seen or name in NO_PAGE:
            return False
        self.seen.add(key)
        self.names.add(name)
        return True

    def _see(self, path: str) -> list[str]:
        visitor = self.visitor
        joint = "&" if "?" in path else "?"
        status = visitor.open(f"{path}{joint}still" if "/jobs/" in path else path)
        assert status == 200, f"{status} at {path}"
        name = resolve(urlsplit(path).path).view_name.partition(":")[2]
        for size in (DESKTOP, PHONE):
            visitor.resize(size)
            visitor.see(name)
        visitor.resize(NARROW)
        visitor.look_for_sideways_scrolling()
        hrefs = visitor.page.locator("a[href]").evaluate_all("links => links.map(link => link.href)")
        return [
            href.removeprefix(visitor.url).partition("#")[0] for href in hrefs if href.startswith(f"{visitor.url}/")
        ]


@pytest.mark.timeout(900)  # a hundred looks of axe
def test_every_page_can_be_opened_without_a_fault(site: Site, visit: Callable[..., Visitor]) -> None:
    no_more_news = site.run("-m", "tests.browser.scene", "money").strip()
    walk = Walk(visit(size=DESKTOP, name="walk", camera="WALLFUL_SHOTS" in os.environ))
    [placed] = site.sink.wait_for(lambda mail: mail["To"] == "ragna@example.org")
    [news, *_] = site.sink.wait_for(lambda mail: "/u/" in text_of(mail))
    visitor = walk.visitor
    walk.from_pages("/", "/sign-in/", "/show/demo/order/?what=gift", link_in(news, "/u/"), no_more_news)
    visitor.open(link_in(placed, "/m/"))
    walk.from_pages(urlsplit(visitor.page.url).path)
    [with_friend, *_] = site.sink.wait_for(lambda mail: mail["To"] == "imke.beispiel@example.org")
    visitor.open(link_in(with_friend, "/m/"))
    walk.look_again_at({"campaign:my_pledge"})
    walk.from_pages(urlsplit(visitor.page.url).path)
    [offered] = site.sink.wait_for(lambda mail: mail["To"] == "wanda@example.org")
    visitor.open(link_in(offered, "/w/"))
    walk.from_pages(urlsplit(visitor.page.url).path, "/show/demo/waiting/low-water/")
    visitor.sign_in()
    visitor.open("/studio/demo/fund/pledges/?state=paid")
    paid = str(visitor.page.locator("tbody th a").first.get_attribute("href"))
    walk.from_pages("/studio/", "/studio/demo/", f"{paid}refund/", f"{paid}owe/", "/studio/demo/print/end/")
    walk.from_pages("/studio/demo/fund/print/of/low-water/take-away/")  # ordered already, so nothing leads there
    site.run("-m", "tests.browser.scene", "printed")
    walk.look_again_at(CHANGED_BY_PRINTING)
    visitor.open(link_in(with_friend, "/m/"))
    mine = urlsplit(visitor.page.url).path  # leads to withdrawing only once the time to cancel is over
    walk.from_pages(mine, f"{mine}withdraw/", "/show/demo/", "/show/demo/order/", "/studio/demo/")
    opened = {"campaign:pledge_link", "campaign:place_link", "campaign:front"} | walk.names
    assert set(names_of(get_resolver().url_patterns)) - NO_PAGE - NEEDS_KEYS - opened == set()


def test_pages_that_are_not_there_say_so(visit: Callable[..., Visitor]) -> None:
    visitor = visit(size=PHONE, name="missing")
    for path, status in (("/nowhere/", 404), ("/show/nobody/", 404), ("/m/no-such-token/", 404), ("/my/NOBODY/", 403)):
        assert visitor.open(path) == status
        visitor.see("missing")
        assert visitor.page.locator("h1").count() == 1

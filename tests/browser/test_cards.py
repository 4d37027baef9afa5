"""Paying by card in a real browser: there, on our own processor's page, and back; the door that does not open."""

import shutil
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Response

from tests.browser.ordering import GRAUHAVEN, Wish, check_order, fill, open_order_form, place_order
from tests.browser.sink import Sink
from tests.browser.site import settings
from tests.browser.visitor import DESKTOP, NARROW, PHONE, Visitor
from tests.card_stand_in import KEY, SECRET, StandIn
from tests.processes import Program, answers, free_port, wait_until

pytestmark = pytest.mark.browser


class Payer(Visitor):
    """A visitor who may also go to the processor's page, and may be told that it is away."""

    processor = ""

    def _request(self, request: Any) -> None:
        if not request.url.startswith(self.processor):
            super()._request(request)

    def _response(self, response: Response) -> None:
        if not (response.status == 503 and response.url.endswith("/card/")):
            super()._response(response)


@pytest.fixture
def stand_in() -> Iterator[StandIn]:
    with closing(StandIn()) as processor:
        Payer.processor = f"{processor.url}/"
        yield processor


@pytest.fixture
def url(prepared: Path, tmp_path: Path, stand_in: StandIn) -> Iterator[str]:
    """A served copy of the prepared show that has the keys of our processor, which tells it what happens."""
    data, port = tmp_path / "data", free_port()
    shutil.copytree(prepared, data)
    address = f"http://127.0.0.1:{port}"
    with closing(Sink()) as sink:
        env = settings(data, smtp_port=sink.port) | {
            "WALLFUL_CARD_SECRET_KEY": KEY, "WALLFUL_CARD_WEBHOOK_SECRET": SECRET, "WALLFUL_CARD_API": stand_in.url,
            "WALLFUL_CARD_CHECKOUT": stand_in.url, "WALLFUL_PUBLIC_URL": address,
        }  # fmt: skip
        log = tmp_path / "serve.log"
        site = Program("python", "manage.py", "serve", "--port", str(port), env=env, log=log)
        try:
            wait_until(lambda: answers(f"{address}/healthz"), what="the site answers", seconds=120)
            stand_in.webhook_url = f"{address}/cards/messages"
            yield address
        finally:
            site.stop()
        assert "Traceback" not in log.read_text(), log.read_text()


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
def test_a_backer_pays_by_card_and_the_artist_sees_it(
    url: str, browser: Browser, stand_in: StandIn, size: tuple[int, int]
) -> None:
    with closing(Payer(browser, url=url, size=size, name="cards-studio")) as artist:
        artist.sign_in()
        artist.open("/studio-details/")
        artist.page.get_by_label("Take cards").check()
        artist.see("details")
        artist.page.get_by_role("button", name="Save the details").click()
        with closing(Payer(browser, url=url, size=size, name="cards")) as backer:
            order_by_card(backer, email="wilma@example.org")
            pay(backer)
            order_by_card(backer, email="wim@example.org")
            meet_a_closed_door(backer, stand_in)
        look_at_the_studio(artist)


def order_by_card(backer: Payer, *, email: str) -> None:
    page = backer.page
    open_order_form(backer, country="DE")
    fill(page, Wish("Wilma Sample", email, "DE", GRAUHAVEN, copies=1))
    page.locator("[name=way][value=card]").check()
    backer.see("order-form")
    check_order(page)
    place_order(page)
    backer.see("to-pay")
    assert page.get_by_role("button", name="Pay by card").count() == 1


def pay(backer: Payer) -> None:
    """To the processor, back without paying, there again, and paid."""
    page = backer.page
    page.get_by_role("button", name="Pay by card").click()
    assert page.url.startswith(Payer.processor), page.url
    page.get_by_role("link", name="Back without paying").click()
    page.get_by_role("button", name="Pay by card").click()
    page.get_by_role("button", name="Pay now").click()
    page.wait_for_url("**/card/back/**")
    if "being confirmed" in page.locator("h1").inner_text():
        backer.see("being-confirmed")
    page.wait_for_url(lambda address: address.rstrip("/").split("/")[-2] == "my", timeout=30_000)
    assert "Paid." in page.locator(".standing").inner_text()
    backer.see("paid")


def meet_a_closed_door(backer: Payer, stand_in: StandIn) -> None:
    """The processor is away; the same button works a little later."""
    page = backer.page
    stand_in.fail = {"500": 1.0}
    page.get_by_role("button", name="Pay by card").click()
    backer.see("closed-door")
    assert "nothing was taken from a card" in page.locator("main").inner_text()
    stand_in.fail = {}
    page.get_by_role("button", name="Try once more").click()
    assert page.url.startswith(Payer.processor), page.url


def look_at_the_studio(artist: Payer) -> None:
    page = artist.page
    artist.open("/studio/")
    page.get_by_role("link", name="Fund", exact=True).first.click()
    page.get_by_role("navigation", name="Fund").get_by_role("link", name="Cards").click()
    assert "Wilma Sample" in page.locator("main").inner_text()
    page.get_by_role("button", name="Compare now").click()
    artist.see("comparing")
    for _ in range(40):
        page.reload()
        if "everything agrees" in page.locator("main").inner_text():
            break
        page.wait_for_timeout(500)
    else:
        raise AssertionError(page.locator("main").inner_text())
    artist.see("compared")
    artist.resize(NARROW)
    artist.see("compared-narrow")

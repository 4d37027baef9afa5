"""Two helpers pack forty parcels: none twice, no wrong print, and half a minute without a connection in the middle."""

import json
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.site import Site
from tests.browser.visitor import DESKTOP, PHONE, Visitor

pytestmark = pytest.mark.browser

CUT_S = 30.0
PASSWORD = "a-table-and-forty-boxes"
Parcel = dict[str, Any]


def at_the_station(visit: Callable[..., Visitor], name: str, *, size: tuple[int, int]) -> Visitor:
    helper = visit(size=size, name=name)
    helper.page.add_init_script(READS_CODES)
    helper.sign_in(name, PASSWORD)
    with helper.page.expect_response("**/contents.json"):
        helper.open("/studio/demo/send/packing/")
    expect(helper.page.get_by_label("Bar code of a slip")).to_be_focused()
    return helper


def scan(helper: Visitor, code: str) -> None:
    """As a bar-code reader does: typed wherever the focus is, and Enter."""
    helper.page.keyboard.insert_text(code)
    helper.page.keyboard.press("Enter")


def says(helper: Visitor, words: str) -> None:
    expect(helper.page.locator("#station-said")).to_contain_text(words)


def all_is_sent(helper: Visitor) -> None:
    expect(helper.page.locator("#station-line")).to_be_empty(timeout=20_000)


def confirm(helper: Visitor, parcel: Parcel) -> None:
    for copy in parcel["copies"]:
        scan(helper, copy)
    says(helper, f"Parcel {parcel['number']} is packed.")


def pack(helper: Visitor, parcel: Parcel) -> None:
    scan(helper, parcel["code"])
    expect(helper.page.get_by_role("heading", name=f"Parcel {parcel['number']}", exact=True)).to_be_visible()
    confirm(helper, parcel)


def read(site: Site, what: str = "packed") -> list[Parcel]:
    rows: list[Parcel] = json.loads(site.run("-m", "tests.browser.scene", what).splitlines()[-1])
    return rows


def test_two_helpers_pack_forty_parcels_each_once(site: Site, visit: Callable[..., Visitor]) -> None:
    before = read(site, "parcels")
    assert len(before) >= 40
    kim, lee = at_the_station(visit, "kim", size=DESKTOP), at_the_station(visit, "lee", size=PHONE)
    table: Iterator[Parcel] = iter(before)

    refuse_a_wrong_print(kim, next(table), other=before[-1])
    take_the_same_parcel(kim, lee, next(table))
    pack_by_camera(lee, next(table))
    for _ in range(5):
        pack(kim, next(table))
        pack(lee, next(table))
    lose_the_connection(kim, lee, table)
    for helper, parcel in zip([kim, lee] * len(before), table, strict=False):
        pack(helper, parcel)
    for helper in (kim, lee):
        all_is_sent(helper)
        helper.see("all-packed")

    after = read(site)
    assert {row["state"] for row in after} == {"packed"}
    assert {row["packed"] for row in after} == {1}
    assert {row["by"] for row in after} == {"kim", "lee"}
    assert "All figures agree" in site.run("manage.py", "verify")


# What a phone's browser has and this one may not: it reads the code that is held before the lens.
READS_CODES = """
window.BarcodeDetector = class {
  static async getSupportedFormats() { return ["qr_code", "code_128"]; }
  async detect() { return window.heldUp ? [{ rawValue: window.heldUp }] : []; }
};
"""


def hold_up(helper: Visitor, code: str) -> None:
    helper.page.evaluate("code => { window.heldUp = code; }", code)


def pack_by_camera(lee: Visitor, parcel: Parcel) -> None:
    lee.page.get_by_role("button", name="Read codes with the camera").click()
    seen = lee.page.get_by_label("What the camera sees")
    expect(seen).to_be_visible()
    hold_up(lee, parcel["code"])
    expect(lee.page.get_by_role("heading", name=f"Parcel {parcel['number']}", exact=True)).to_be_visible()
    lee.see("camera")
    for copy in parcel["copies"]:
        hold_up(lee, copy)
        expect(lee.page.locator("#station-said")).to_contain_text(
            f"Parcel {parcel['number']} is packed." if copy == parcel["copies"][-1] else " is in."
        )
    hold_up(lee, "")
    lee.page.get_by_role("button", name="Put the camera away").click()
    expect(seen).to_be_hidden()
    lee.page.locator("#id_scan").focus()


def refuse_a_wrong_print(kim: Visitor, parcel: Parcel, *, other: Parcel) -> None:
    scan(kim, parcel["code"])
    scan(kim, other["copies"][0])
    says(kim, f"does not belong in parcel {parcel['number']}. It belongs in parcel {other['number']}")
    kim.see("wrong-print")
    confirm(kim, parcel)


def take_the_same_parcel(kim: Visitor, lee: Visitor, parcel: Parcel) -> None:
    """Both have the slip on the screen; who confirms second is told by whom it was packed."""
    scan(kim, parcel["code"])
    scan(lee, parcel["code"])
    lee.see("in-hand")
    with kim.page.expect_response("**/pack/"):
        confirm(kim, parcel)
    for copy in parcel["copies"]:
        scan(lee, copy)
    says(lee, f"Parcel {parcel['number']} is packed already by kim")
    lee.see("packed-by-somebody-else")
    lee.page.get_by_role("button", name="I have seen it").click()


def lose_the_connection(kim: Visitor, lee: Visitor, table: Iterator[Parcel]) -> None:
    """Kim goes on for half a minute without a connection; Lee packs one of the same parcels meanwhile."""
    all_is_sent(kim)
    began = time.monotonic()
    kim.cut()
    alone = [next(table) for _ in range(6)]
    for parcel in alone:
        pack(kim, parcel)
    expect(kim.page.locator("#station-line")).to_contain_text("6 packed parcels wait in this browser")
    refused, half = next(table), next(table)
    scan(kim, refused["code"])
    scan(kim, half["copies"][0])
    says(kim, f"does not belong in parcel {refused['number']}")
    confirm(kim, refused)
    kim.see("no-connection")
    pack(lee, refused)  # on this side it is still to be packed
    for _ in range(4):
        pack(lee, next(table))
    kim.page.wait_for_timeout(1000 * max(0.0, CUT_S - (time.monotonic() - began)))
    scan(kim, half["code"])  # in hand while the connection comes back
    kim.cut(False)
    says(kim, f"Parcel {refused['number']} is packed already by lee")
    all_is_sent(kim)
    kim.page.get_by_role("button", name="I have seen it").click()
    confirm(kim, half)

"""The whole job: an order, its transfer, a level, an update, the close, prints, papers, parcels, notices."""

import re
import urllib.request
from collections import Counter
from collections.abc import Callable

import pytest

from tests.browser.ordering import LONDON, Wish, order
from tests.browser.sink import link_in, text_of
from tests.browser.site import Site
from tests.browser.studio_work import (
    close_campaign,
    go_to,
    look_at_job,
    papers,
    post_parcels,
    print_everything,
    record_transfer,
    send_update,
    wait_for_job,
    write_update,
)
from tests.browser.visitor import DESKTOP, PHONE, Visitor

pytestmark = pytest.mark.browser

WILMA = Wish("Wilma Sample", "wilma@example.org", "GB", LONDON, copies=2, gift="60")


@pytest.mark.parametrize(
    ("size", "script"),
    [(PHONE, True), (DESKTOP, True), (DESKTOP, False)],
    ids=["phone", "desktop", "desktop-without-script"],
)
def test_one_order_reaches_a_level_and_every_print_reaches_its_backer(
    site: Site, visit: Callable[..., Visitor], size: tuple[int, int], script: bool
) -> None:
    visitor = visit(size=size, name="backer" if script else "backer-plain", script=script)
    artist = visit(size=size, name="artist" if script else "artist-plain", script=script)
    artist.sign_in()
    artist.see("standing")

    before = walls_and_levels(visitor)
    reference = order(visitor, WILMA)
    said = record_transfer(artist, reference=reference)
    assert "is paid" in said
    after = walls_and_levels(visit(size=size, name="passer-by", script=script))
    assert after["reached"] == before["reached"] + 1
    assert after["sentence"] != before["sentence"]
    assert after["drawing"] != before["drawing"]

    tell_everybody(artist, site=site)
    close_campaign(artist)
    visitor.open("/show/demo/order/")
    visitor.see("orders-are-closed")
    assert "closed" in visitor.page.locator("main").inner_text()

    copies = print_everything(artist)
    look_at_job(artist, "papers-in-the-making")
    wait_for_job(artist, "papers-made")
    check_papers(artist, copies=copies)
    numbers = post_parcels(artist, hurry=lambda: site.run("-m", "tests.browser.scene", "hurry"))
    check_notices(site, numbers=numbers)
    visitor.open(link_in(site.sink.to("wilma@example.org")[0], "/m/"))
    visitor.see("posted")
    for place in ("Hang", "Settle"):
        go_to(artist, place)
        artist.see(place.lower())


def walls_and_levels(visitor: Visitor) -> dict[str, object]:
    """What the public page says and draws now."""
    page = visitor.page
    visitor.open("/")
    visitor.see("public-page")
    return {
        "sentence": page.locator(".standing").first.inner_text(),
        "reached": page.locator("ol.levels li.reached").count(),
        "drawing": [page.locator("figure.wall svg").nth(at).inner_html() for at in range(3)],
    }


def tell_everybody(artist: Visitor, *, site: Site) -> None:
    """An update: a trial to the artist, then to all; one of them wants no more."""
    title = "The glass is cut"
    write_update(artist, title=title, body="Forty panes, and **one** broken.")
    artist.page.get_by_role("button", name="Send a trial to myself").click()
    site.sink.wait_for(lambda mail: title in mail["Subject"] and mail["To"] == "tilde@example.org")
    people = send_update(artist)
    assert people > 5
    site.run("-m", "tests.browser.scene", "hurry")
    wait_for_job(artist, "update-sent")
    mails = site.sink.wait_for(
        lambda mail: title in mail["Subject"] and mail["To"] != "tilde@example.org", count=people
    )
    assert len(mails) == people == len({mail["To"] for mail in mails})
    for mail in mails:
        assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
        assert re.fullmatch(rf"<{site.url}/u/\S+>", mail["List-Unsubscribe"].strip())
    one_click = urllib.request.Request(
        mails[0]["List-Unsubscribe"].strip().strip("<>"), data=b"List-Unsubscribe=One-Click", method="POST"
    )
    with urllib.request.urlopen(one_click, timeout=20) as answer:
        assert answer.status == 200
    go_to(artist, "Fund")
    assert f"{people - 1} people want them" in artist.page.locator("main").inner_text()


def check_papers(artist: Visitor, *, copies: int) -> None:
    """Slips and labels of two formats: a page for each parcel, every copy named, the texts readable."""
    found = papers(artist)
    assert len(found) == 3, f"papers: {list(found)}"
    texts = {title: [page.extract_text() for page in pdf.pages] for title, pdf in found.items()}
    slips = next(pages for title, pages in texts.items() if "slip" in title.lower())
    labels = {title: pages for title, pages in texts.items() if "label" in title.lower()}
    assert sum(len(re.findall(r"\b\d+/\d+\b", text)) for text in slips) == copies
    sizes = set()
    for title, pages in labels.items():
        assert len(pages) == len(slips)
        assert any("Wilma Sample" in text and "SW1A 2AA" in text for text in pages)
        box = found[title].pages[0].mediabox
        sizes.add((round(float(box.width)), round(float(box.height))))
    assert sizes == {(288, 432), (298, 420)}  # 4 × 6 in and A6, in points


def check_notices(site: Site, *, numbers: dict[str, str]) -> None:
    """One notice a parcel, with its own number; who ordered for a friend too has two."""
    notices = site.sink.wait_for(lambda mail: "TRACK" in text_of(mail), count=len(numbers))
    assert len(notices) == len(numbers)
    told = Counter(number for mail in notices for number in numbers.values() if number in text_of(mail))
    assert told == Counter(numbers.values())
    [for_wilma] = [mail for mail in notices if mail["To"] == "wilma@example.org"]
    assert numbers["Wilma Sample"] in text_of(for_wilma)

"""What the artist does in the studio, room by room, as the journeys need it."""

import io
import re
from collections.abc import Callable
from itertools import pairwise

from playwright.sync_api import Locator
from pypdf import PdfReader

from campaign.measures.words import count_of
from tests.browser.ordering import complaint_at
from tests.browser.visitor import Visitor

JOB_PATIENCE_MS = 90_000


def go_to(artist: Visitor, *names: str) -> None:
    """Through the studio by the names on its links."""
    for name in names:
        artist.page.get_by_role("link", name=name, exact=True).first.click()


def record_transfer(artist: Visitor, *, reference: str) -> str:
    """Find the order by the reference on the bank statement and book its money; what the studio says then."""
    page = artist.page
    go_to(artist, "Fund", "Pledges")
    artist.see("pledges")
    page.locator("[name=words]").fill(reference)
    page.get_by_role("button", name="Look", exact=True).click()
    page.locator("table a").first.click()
    artist.see("pledge")
    go_to(artist, "Record a payment")
    due = page.locator("[name=amount_minor]").input_value()
    page.locator("[name=amount_minor]").fill("lots of coins")
    page.get_by_role("button", name="Book the payment").click()
    artist.see("payment-refused")
    assert complaint_at(page, "amount_minor").endswith(".")
    assert page.locator("[name=amount_minor]").input_value() == "lots of coins"
    page.locator("[name=amount_minor]").fill(due)
    page.get_by_role("button", name="Book the payment").click()
    artist.see("payment-booked")
    return page.locator(".messages").inner_text()


def write_update(artist: Visitor, *, title: str, body: str) -> None:
    """Write, look, keep."""
    page = artist.page
    go_to(artist, "Fund", "Updates", "Write an update")
    page.get_by_role("button", name="Keep it").click()
    assert complaint_at(page, "title")
    assert complaint_at(page, "body")
    page.locator("[name=title]").fill(title)
    page.locator("[name=body]").fill(body)
    page.get_by_role("button", name="Look at it first").click()
    artist.see("update-preview")
    assert page.locator(".prose strong").count() == 1
    page.get_by_role("button", name="Keep it").click()
    artist.see("update-kept")


def send_update(artist: Visitor) -> int:
    """To everybody; the number of people the page names. Leaves the artist on the page of its progress."""
    page = artist.page
    page.get_by_role("link", name=re.compile(r"Send it to \d+")).click()
    artist.see("update-asked")
    button = page.get_by_role("button", name=re.compile(r"Send it to \d+"))
    people = int(re.sub(r"\D", "", button.inner_text()))
    button.click()
    look_at_job(artist, "update-waits")
    return people


def look_at_job(artist: Visitor, name: str) -> None:
    """The page of long work, held still for the look."""
    address = artist.page.url.partition("?")[0]
    artist.page.goto(f"{address}?still")
    artist.see(name)
    artist.page.goto(address)


def wait_for_job(artist: Visitor, name: str) -> None:
    """Until the page that looks again by itself says that the work is finished."""
    artist.page.get_by_text(re.compile("finished")).wait_for(timeout=JOB_PATIENCE_MS)
    artist.see(name)


def close_campaign(artist: Visitor) -> None:
    """Asked first, then done."""
    page = artist.page
    go_to(artist, "Fund", "Close the campaign…")
    artist.see("close-asked")
    page.get_by_role("button", name="Close it and fix the plan").click()
    artist.see("closed")
    assert "fixed" in page.locator("main").inner_text()


def print_everything(artist: Visitor) -> int:
    """Edition by edition, then end printing; how many copies. Leaves the artist at the job."""
    page = artist.page
    go_to(artist, "Print")
    artist.see("print-room")
    tables = page.locator("section", has=page.get_by_role("button", name="Mark as printed"))
    tables.first.get_by_role("button", name="Mark as printed").click()
    artist.see("nothing-ticked")
    page.locator("#errors").wait_for()
    copies = sum(print_edition(artist, tables.nth(at)) for at in range(tables.count()))
    artist.see("all-printed")
    go_to(artist, "End printing")
    artist.see("end-asked")
    page.get_by_role("button", name="End printing and make the papers").click()
    return copies


def print_edition(artist: Visitor, table: Locator) -> int:
    """Tick one copy, name the others by number; how many copies."""
    boxes, said = table.locator("td.pick input"), artist.page.locator(".messages")
    numbers = [int(str(boxes.nth(at).get_attribute("value"))) for at in range(boxes.count())]
    boxes.first.check()
    table.get_by_role("button", name="Mark as printed").click()
    said.get_by_text("1 copy marked as printed").wait_for()
    if numbers[1:]:
        table.locator("input[type=text][name$=numbers]").fill(as_ranges(numbers[1:]))
        table.get_by_role("button", name="Mark as printed").click()
        said.get_by_text(f"{count_of(len(numbers) - 1, 'copy', plural='copies')} marked as printed").wait_for()
    return len(numbers)


def as_ranges(numbers: list[int]) -> str:
    """As one would write them: 1-3, 7."""
    starts = [numbers[0]] + [b for a, b in pairwise(numbers) if b != a + 1]
    ends = [a for a, b in pairwise(numbers) if b != a + 1] + [numbers[-1]]
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in zip(starts, ends, strict=True))


def papers(artist: Visitor) -> dict[str, PdfReader]:
    """The PDFs that the page of the job links to, by the names of their links."""
    found = {}
    links = artist.page.get_by_role("link").filter(has_text=re.compile("slips|[Ll]abels"))
    for at in range(links.count()):
        link = links.nth(at)
        answer = artist.page.request.get(str(link.get_attribute("href")))
        assert answer.headers["content-type"] == "application/pdf"
        found[link.inner_text()] = PdfReader(io.BytesIO(answer.body()))
    return found


def post_parcels(artist: Visitor, *, hurry: Callable[[], object]) -> dict[str, str]:
    """Every parcel handed over with a tracking number; the numbers by the name on the parcel."""
    page = artist.page
    go_to(artist, "Send")
    artist.see("send-room")
    rows = page.locator("tbody tr", has=page.locator("td.pick"))
    numbers: dict[str, str] = {}
    for at in range(rows.count()):
        tracking = f"TRACK{at + 1:05}"
        rows.nth(at).locator("td.pick input").check()
        rows.nth(at).locator("input[type=text]").fill(tracking)
        numbers[rows.nth(at).locator("td").nth(1).inner_text()] = tracking
    page.get_by_role("button", name="Mark as posted").click()
    artist.see("posted")
    page.get_by_role("button", name=re.compile(r"Send \d+ notice")).click()
    hurry()  # past the minute in which they could be called off
    wait_for_job(artist, "notices-sent")
    return numbers

"""A browser tab that watches itself: foreign requests, CSP reports, errors, failed answers, and axe on what it sees."""

import os
import re
import tempfile
from pathlib import Path
from typing import Any

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, Response

PHONE, DESKTOP, NARROW = (390, 844), (1280, 900), (320, 700)
WCAG = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    "resultTypes": ["violations"],
    "preload": False,
}
SHOTS = Path(os.environ.get("WALLFUL_SHOTS") or Path(tempfile.gettempdir()) / "wallful-shots")


class Visitor:
    """
    One person's tab on the site at `url`.

    `faults` are sentences: what was wrong on which page. `see` adds what axe finds and takes a picture.
    """

    def __init__(
        self, browser: Browser, *, url: str, size: tuple[int, int], name: str, script: bool = True, camera: bool = True
    ) -> None:
        self.url, self.name, self.size, self.has_script, self.has_camera = url, name, size, script, camera
        self.faults: list[str] = []
        self.pages_seen = 0
        self._context = browser.new_context(
            base_url=url,
            viewport={"width": size[0], "height": size[1]},
            java_script_enabled=script,
            has_touch=size[0] < 600,
            reduced_motion="reduce",
            locale="en-GB",
        )
        self._context.set_default_timeout(20_000)
        self.page: Page = self._context.new_page()
        self._context.on("request", self._request)
        self._context.on("response", self._response)
        self.page.on("console", self._console)
        self.page.on("pageerror", lambda error: self._fault(f"script error: {error}"))
        self._audits = self._context.new_cdp_session(self.page)
        self._audits.on("Audits.issueAdded", self._issue)
        self._audits.send("Audits.enable")

    def _fault(self, sentence: str) -> None:
        where = re.sub(r"^https?://[^/]+", "", self.page.url)
        self.faults.append(f"{where} [{self.name} {self.size[0]}]: {sentence}")

    def _request(self, request: Request) -> None:
        if not request.url.startswith((f"{self.url}/", "data:")):
            self._fault(f"asks another site: {request.url}")

    def _response(self, response: Response) -> None:
        is_missing_file = response.status == 404 and response.request.resource_type != "document"
        if response.status >= 500 or is_missing_file:
            self._fault(f"{response.status} for {response.url}")

    def _console(self, message: ConsoleMessage) -> None:
        # A refused page (403, 404, 429) is an answer, not a fault; Chromium prints a line for each all the same.
        if message.type in ("error", "warning") and not message.text.startswith("Failed to load resource"):
            self._fault(f"console: {message.text}")

    def _issue(self, event: dict[str, Any]) -> None:
        issue = event["issue"]
        if issue["code"] == "ContentSecurityPolicyIssue":
            self._fault(f"CSP: {issue['details']['contentSecurityPolicyIssueDetails']}")

    def open(self, path: str) -> int:
        """Go to a path of the site; the status."""
        response = self.page.goto(path)
        assert response is not None
        return response.status

    def see(self, name: str) -> None:
        """Look at the page as it is now: axe, sideways scrolling, a picture called `name`."""
        self.pages_seen += 1
        self.page.wait_for_load_state()
        self.look_for_sideways_scrolling()
        if self.has_script:
            self._look_with_axe()
        if self.has_camera:
            self._take_picture(name)

    def _take_picture(self, name: str) -> None:
        SHOTS.mkdir(parents=True, exist_ok=True)
        picture = SHOTS / f"{self.name}-{self.size[0]}-{self.pages_seen:02}-{name}.png"
        # Hiding the caret would put a style of Playwright's own into the page, which the CSP refuses, and rightly.
        self.page.screenshot(path=picture, full_page=True, caret="initial")

    def look_for_sideways_scrolling(self) -> None:
        """A fault if the page is wider than the window."""
        metrics = self._audits.send("Page.getLayoutMetrics")
        wide = metrics["cssContentSize"]["width"] - metrics["cssLayoutViewport"]["clientWidth"]
        if wide > 0:
            self._fault(f"scrolls sideways by {wide} px")

    def _look_with_axe(self) -> None:
        # Evaluated through the debugger, so that the page's own CSP stays on and is the one that is listened to.
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE_SCRIPT)
        found = self.page.evaluate("options => axe.run(document, options)", WCAG)
        for violation in found["violations"]:
            places = "; ".join(
                f"{' '.join(map(str, node['target']))} ({node['failureSummary'].splitlines()[-1].strip()})"
                for node in violation["nodes"][:4]
            )
            self._fault(f"axe {violation['id']} × {len(violation['nodes'])}: {places}")

    def resize(self, size: tuple[int, int]) -> None:
        """Turn the same page into another screen."""
        self.size = size
        self.page.set_viewport_size({"width": size[0], "height": size[1]})

    def cut(self, is_cut: bool = True) -> None:
        """Take the connection away, or give it back."""
        self._context.set_offline(is_cut)

    def sign_in(self, username: str = "ada", password: str = "ebb-tide-at-four") -> None:
        """As the artist of the demonstration, or as somebody else."""
        self.open("/studio/")
        self.page.get_by_label("Username").fill(username)
        self.page.get_by_label("Password").fill(password)
        self.page.get_by_role("button", name="Sign in").click()

    def close(self) -> None:
        """Close the tab; fails with every fault that was met."""
        self._context.close()
        assert not self.faults, f"{len(self.faults)} faults:\n" + "\n".join(dict.fromkeys(self.faults))

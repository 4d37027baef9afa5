"""People who order over HTTP as a browser does, without one: form, hidden fields, cookie, redirect."""

import http.client
import re
import time
import urllib.parse
import uuid
from dataclasses import dataclass, field

HIDDEN = re.compile(r'<input type="hidden" name="(?P<name>[a-z_]+)"(?: value="(?P<value>[^"]*)")?')
BERLIN = {"street_address": "Musterweg 12", "postal_code": "10115", "city": "Berlin"}


class NotAcknowledged(Exception):
    """The site did not say that the order is recorded but answered with `status` and a page in these `words`."""

    def __init__(self, status: int, words: str) -> None:
        super().__init__(f"{status} {words[:400]}")
        self.status, self.words = status, words


@dataclass
class Buyer:
    """One visitor's browser on a site; `headers` go with every request, as a proxy in front would add them."""

    url: str
    headers: dict[str, str] = field(default_factory=dict)
    show_code: str = "tideline"
    total_minor: int = 4_990  # one print to Germany
    timeout_s: float = 20.0

    def open_form(self) -> None:
        """Look at the order form, as everybody does before ordering; the form counts as read two seconds later."""
        status, headers, page = self._ask("GET", self.path)
        assert status == 200, f"{self.path}: {status}\n{page[:2000]}"
        cookies = [value.split(";")[0] for name, value in headers if name.lower() == "set-cookie"]
        self.cookie = "; ".join(cookies)
        self.hidden = {match["name"]: match["value"] or "" for match in HIDDEN.finditer(page)}
        self.copies_name = re.findall(r'name="(copies_[^"]+)"', page)[0]  # of the first print on the page
        self._ready_at = time.monotonic() + 2.1

    def order(self, *, email: str, key: uuid.UUID, copies: int = 1) -> str:
        """
        Send the form at its last step. Returns the order's public code.

        Raises: NotAcknowledged for any other answer; OSError and HTTPException where there was none.
        """
        time.sleep(max(0.0, self._ready_at - time.monotonic()))
        fields = self.last_step(email=email, key=key, copies=copies)
        status, headers, page = self._ask("POST", self.path, fields)
        place = dict(headers).get("Location", "")
        found = re.fullmatch(r"/my/([A-Z0-9]+)/", place)
        if status != 302 or not found:
            words = " ".join(re.sub(r"<[^>]+>", " ", page).split())
            raise NotAcknowledged(status, words)
        return found[1]

    def last_step(self, *, email: str, key: uuid.UUID, copies: int = 1) -> dict[str, str]:
        """The fields of the form as they are sent to place the order."""
        return {
            **self.hidden, **BERLIN, "request_key": str(key), "step": "place",
            "agreed_total_minor": str(self.total_minor * copies), "name": "Bea Probe", "email": email,
            self.copies_name: str(copies), "gift": "", "way": "transfer",
        }  # fmt: skip

    @property
    def path(self) -> str:
        """Where the form lives."""
        return f"/show/{self.show_code}/order/"

    def _ask(
        self, method: str, path: str, fields: dict[str, str] | None = None
    ) -> tuple[int, list[tuple[str, str]], str]:
        parts = urllib.parse.urlsplit(self.url)
        connection = http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=self.timeout_s)
        own = dict(self.headers)
        if fields is not None:
            own |= {"Content-Type": "application/x-www-form-urlencoded", "Cookie": self.cookie}
        try:
            connection.request(method, path, urllib.parse.urlencode(fields) if fields else None, own)
            response = connection.getresponse()
            return response.status, response.getheaders(), response.read().decode("utf-8", "replace")
        finally:
            connection.close()

"""What a visitor's browser does to order: fetch the form, fill it in, look at the sum, send it."""

import re
import uuid
from typing import Any

ORDER = {
    "name": "Mary Sample",
    "email": "mary@example.org",
    "street_address": "Musterweg 12",
    "postal_code": "10115",
    "city": "Berlin",
    "copies_harbour": "1",
    "gift": "",
    "way": "transfer",
    "message": "",
}
GIFT = {"name": "Mary Sample", "email": "mary@example.org", "gift": "25", "way": "transfer", "message": ""}
URL = "/show/tideline/order/"


def hidden(response: Any) -> dict[str, str]:
    """The hidden fields of the page's order form; `agreed_total_minor` among them on the page that shows the sum."""
    found = re.findall(r'<input type="hidden" name="(\w+)"(?: value="([^"]*)")?', response.content.decode())
    return {name: value for name, value in found if name not in ("csrfmiddlewaretoken", "edition")}


def fetch(client: Any, *, query: str = "?country=DE") -> dict[str, str]:
    """Open the form as a person would; returns its hidden fields."""
    return hidden(client.get(URL + query))


def send(client: Any, *, step: str, query: str = "?country=DE", fields: dict[str, str], **changes: str) -> Any:
    """Send the form with `fields` of the page it came from."""
    asked = GIFT if "gift" in query else ORDER
    return client.post(URL + query, asked | fields | {"step": step} | changes)


def place_through_pages(client: Any, traveller: Any, *, query: str = "?country=DE", **changes: str) -> Any:
    """The whole way: form, sum, order. Returns the answer to the last step."""
    fields = fetch(client, query=query)
    traveller.shift(30)
    checked = send(client, step="check", query=query, fields=fields, **changes)
    agreed = hidden(checked).get("agreed_total_minor", "")
    return send(client, step="place", query=query, fields=fields, agreed_total_minor=agreed, **changes)


def new_key() -> str:
    """A request key as the form makes one."""
    return str(uuid.uuid4())

"""The forms and links of a page as a browser finds them: fields, the values that stand there, buttons, addresses."""

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import parse_qsl, urljoin, urlsplit

# What a required field that is still empty may hold, by the end of its name; the first that fits.
FILLERS = (
    ("_minor", "12.00"), ("_mm", "30 cm"), ("_on", "2026-03-09"), ("_at", "2026-03-09T12:00"),
    ("email", "a@example.org"), ("iban", "DE89370400440532013000"), ("_percent", "10"), ("_bp", "10"), ("copies", "1"),
    ("numbers", "1"), ("country", "DE"), ("currency", "EUR"), ("size", "30 x 20 cm"),
    ("code", "one-more"), ("username", "ada"),
)  # fmt: skip


@dataclass(slots=True)
class Form:
    """One form: where it leads, `values` by field, `files` by name; each of `buttons` is (address, name, value)."""

    action: str
    method: str
    values: dict[str, str] = field(default_factory=dict)
    files: list[str] = field(default_factory=list)
    buttons: list[tuple[str, str, str]] = field(default_factory=list)

    @property
    def fields(self) -> list[str]:
        """The names to type into; of the rows of a table the first, for all are alike."""
        return [name for name in self.values if not re.search(r"-[1-9]\d*-", name)]


class _Reader(HTMLParser):
    def __init__(self, address: str) -> None:
        super().__init__()
        self.address, self.forms, self.queries = address, [], set()
        self._form: Form | None = None
        self._open: tuple[str, list[str]] | None = None  # a select or textarea, and what was read of it

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        of = {name: value or "" for name, value in attrs}
        if tag == "a" and "?" in of.get("href", ""):
            target = urlsplit(urljoin(self.address, of["href"]))
            self.queries |= {(target.path, name) for name, _ in parse_qsl(target.query, keep_blank_values=True)}
        if tag == "form":
            action = urljoin(self.address, of.get("action", ""))
            self._form = Form(action, of.get("method", "get").lower())
            self.forms.append(self._form)
        elif self._form is not None and (name := of.get("name", "")) != "csrfmiddlewaretoken":
            self._take(tag, name, of)

    def _take(self, tag: str, name: str, of: dict[str, str]) -> None:
        assert self._form is not None
        kind = of.get("type", "")
        if tag == "button" or kind in ("submit", "image"):
            action = urljoin(self.address, of["formaction"]) if "formaction" in of else self._form.action
            self._form.buttons.append((action, name, of.get("value", "")))
        elif tag in ("select", "textarea"):
            self._form.values.setdefault(name, "")
            self._open = (name, [])
        elif tag == "option" and self._open and ("selected" in of or not self._form.values[self._open[0]]):
            self._form.values[self._open[0]] = of.get("value", "")
        elif tag == "input" and kind == "file":
            self._form.files.append(name)
        elif tag == "input" and name:
            is_choice = kind in ("radio", "checkbox")
            if not is_choice or "checked" in of or name not in self._form.values:
                self._form.values[name] = of.get("value", "on" if is_choice else "") or _filler(name, of)

    def handle_data(self, data: str) -> None:
        if self._open:
            self._open[1].append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self._open and self._form is not None:
            self._form.values[self._open[0]] = "".join(self._open[1]).removeprefix("\n") or "Words"
        if tag in ("select", "textarea"):
            self._open = None
        if tag == "form":
            self._form = None


def _filler(name: str, of: dict[str, str]) -> str:
    if "required" not in of and "hidden" not in of.get("type", ""):
        return ""
    return filler(name)


def filler(name: str) -> str:
    """What the field of this name takes."""
    return next((value for end, value in FILLERS if name.endswith(end)), "Words")


def read_page(html: str, *, address: str) -> tuple[list[Form], set[tuple[str, str]]]:
    """The forms of a page at `address`, and the names that its links have after the question mark, by path."""
    reader = _Reader(address)
    reader.feed(html)
    return reader.forms, reader.queries

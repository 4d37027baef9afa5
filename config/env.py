"""Typed environment variables: a value that makes no sense stops the start, naming the variable."""

import os
import re
from pathlib import Path
from urllib.parse import urlsplit

TRUE_WORDS = {"1", "true", "yes", "on"}
FALSE_WORDS = {"0", "false", "no", "off"}


class BadSetting(SystemExit):
    """An environment variable that cannot be used; ends the process with one sentence."""


def env_str(name: str, default: str = "") -> str:
    """Text of `name`, or of the file that `name`_FILE points to (how containers hand over secrets)."""
    file_name = os.environ.get(f"{name}_FILE")
    if file_name:
        try:
            return Path(file_name).read_text(encoding="utf-8").strip()
        except OSError as error:
            raise BadSetting(f"{name}_FILE: cannot read {file_name!r} ({error.strerror}).") from error
    return os.environ.get(name, default)


def env_bool(name: str, *, default: bool) -> bool:
    """yes/no in the usual spellings; anything else is refused."""
    text = env_str(name).strip().lower()
    if not text:
        return default
    if text in TRUE_WORDS:
        return True
    if text in FALSE_WORDS:
        return False
    raise BadSetting(f"{name}: {text!r} is neither yes nor no; write 1 or 0.")


def env_int(name: str, *, default: int, at_least: int = 0) -> int:
    """A whole number not below `at_least`."""
    text = env_str(name).strip()
    if not text:
        return default
    try:
        number = int(text)
    except ValueError as error:
        raise BadSetting(f"{name}: {text!r} is not a whole number.") from error
    if number < at_least:
        raise BadSetting(f"{name}: {number} is too small; it must be {at_least} or more.")
    return number


def env_list(name: str, *, default: list[str]) -> list[str]:
    """Comma-separated words, blanks dropped."""
    text = env_str(name)
    return [word.strip() for word in text.split(",") if word.strip()] if text else default


def url_host(url: str) -> str:
    """Host of a web address, as ALLOWED_HOSTS spells it."""
    try:
        host = urlsplit(url).hostname
    except ValueError:
        host = None
    if not host:
        raise BadSetting(f"WALLFUL_PUBLIC_URL: {url!r} is not an address like https://example.org.")
    return f"[{host}]" if ":" in host else host


def env_origin(name: str, default: str) -> str:
    """Scheme and host of a web address, and nothing after them: what a content security policy lists."""
    text = env_str(name) or default
    try:
        parts = urlsplit(text)
        is_origin = parts.scheme in ("http", "https") and bool(parts.hostname) and parts.port != 0
    except ValueError:
        is_origin = False
    if not is_origin or parts.path.strip("/") or parts.query or parts.fragment or re.search(r"[\s;,'\"@]", text):
        raise BadSetting(f"{name}: {text!r} is not an address like https://example.org without anything after it.")
    return text.rstrip("/")


def env_maildir(name: str) -> str:
    """A folder into which a mail server lays mail, a file each (maildir); empty for none."""
    text = env_str(name).strip()
    if text and not (Path(text) / "new").is_dir():
        raise BadSetting(f"{name}: {text!r} is no maildir folder; there is no folder “new” in it.")
    return text


def env_secret(name: str, *, debug: bool) -> str:
    """A secret of 50 characters or more; in debug a fixed one stands in, so that no start needs set-up."""
    text = env_str(name)
    if text:
        if len(text) < 50 and not debug:
            raise BadSetting(f"{name}: {len(text)} characters are too few for a secret; use 50 or more.")
        return text
    if debug:
        return "for-this-laptop-only-never-on-a-public-host-0123456789-abcdef"
    raise BadSetting(f"{name}: not set. Outside debug the site needs its own secret of 50 characters or more.")

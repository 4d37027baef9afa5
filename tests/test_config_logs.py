"""Log lines: JSON or plain, and nobody in them."""

import json
import logging
import logging.config
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from config.logs import MASKED, mask, mask_line
from tests.processes import environment

ROOT = Path(__file__).parent.parent


@pytest.mark.parametrize(
    "secret",
    [
        "anna.muster+news@post.example.org",
        "o'hara@example.ie",
        "DE89370400440532013000",
        "DE89 3704 0044 0532 0130 00",
        "CH93 0076 2011 6238 5295 7",
        "RF18539007547034",
        "+49 (0)30 1234567",
        "sk_test_0123456789abcdef",
        "whsec_abcdefgh12345678",
    ],
)
def test_what_names_a_person_or_opens_a_door_is_masked(secret):
    assert mask(f"before {secret} after") == f"before {MASKED} after"


@pytest.mark.parametrize("path", ["/m/eyJwIjoiQUJDIn0:1abc:defGHI/", "/u/eyJwIjo:x-Y_z/", "/calendar/eyJzIjo:abc/"])
def test_the_signed_part_of_a_link_is_masked(path):
    start = path[:2] if path[1] in "mu" else "/calendar"
    assert mask(f'GET "{path}"') == f'GET "{start}/{MASKED}/"'


@pytest.mark.parametrize(
    "text",
    ["rebuilt 3 of 12 in 4.2 s", "job 1a2b3c: done", "2026-03-10T12:00:00Z", "campaign:pledge_link", "show tideline"],
)
def test_what_names_nobody_stays(text):
    assert mask(text) == text


@given(st.emails())
def test_any_address_is_masked(address):
    assert address not in mask(f"to <{address}>, again")


def test_every_value_of_a_line_is_masked_however_deep():
    line = {
        "event": "x",
        "who": ["anna@example.org", {"a": ("b", "c@example.org")}],
        "n": 3,
        "row": Path("d@example.org"),
    }
    assert "@" not in json.dumps(mask_line(None, "info", line), default=str)


def lines_of(*, as_json):
    """What a process says that logs a person in every way it can."""
    code = f"""
import logging, logging.config
from config.logs import logging_settings
logging.config.dictConfig(logging_settings(level="INFO", as_json={as_json}))
log = logging.getLogger("campaign.outbox")
log.warning("to %s", "anna@example.org")
try:
    raise ValueError("for bert@example.org")
except ValueError:
    log.exception("failed")
"""
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=environment({}), capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stderr


@pytest.mark.parametrize("as_json", [True, False])
def test_nobody_is_named_in_lines_and_tracebacks(as_json):
    said = lines_of(as_json=as_json)
    assert "ValueError" in said
    assert "@example.org" not in said
    if as_json:
        first = json.loads(said.splitlines()[0])
        assert (first["level"], first["logger"], first["event"]) == ("warning", "campaign.outbox", f"to {MASKED}")
        assert first["timestamp"].endswith("Z")


def test_a_request_is_logged_by_its_route_and_not_by_its_path(client, db, caplog):
    with caplog.at_level(logging.INFO, logger="wallful.request"):
        client.get("/m/a-token-of-somebody/")
    said = " ".join(str(record.msg) for record in caplog.records if record.name == "wallful.request")
    assert "campaign:pledge_link" in said
    assert "a-token-of-somebody" not in said

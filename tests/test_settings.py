"""Settings from the environment: what a public address demands, and what Django's own deployment check says."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
KEY = "k3y-" * 15 + "of-this-test-alone"


def start(tmp_path, *arguments, **variables):
    kept = {name: text for name, text in os.environ.items() if not name.startswith("WALLFUL_")}
    environment = kept | {"DJANGO_SETTINGS_MODULE": "config.settings", "WALLFUL_DATA": str(tmp_path)} | variables
    return subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, env=environment, capture_output=True, text=True, check=False
    )


def test_djangos_deployment_check_finds_nothing_on_a_public_site(tmp_path):
    checked = start(
        tmp_path, "-m", "django", "check", "--deploy", "--fail-level=WARNING",
        WALLFUL_DEBUG="0", WALLFUL_SECRET_KEY=KEY, WALLFUL_PUBLIC_URL="https://shop.example.org",
    )  # fmt: skip
    assert checked.returncode == 0, checked.stderr


def test_a_public_site_answers_to_its_own_address_without_being_told(tmp_path):
    said = start(
        tmp_path, "-c", "from config.settings import ALLOWED_HOSTS; print(*ALLOWED_HOSTS)",
        WALLFUL_DEBUG="0", WALLFUL_SECRET_KEY=KEY, WALLFUL_PUBLIC_URL="https://shop.example.org:8443",
    )  # fmt: skip
    assert said.stdout.split() == ["127.0.0.1", "localhost", "[::1]", "shop.example.org"]


@pytest.mark.parametrize(
    ("variables", "named"),
    [
        ({"WALLFUL_PUBLIC_URL": "https://shop.example.org"}, "WALLFUL_SECRET_KEY: not set"),
        ({"WALLFUL_DEBUG": "0"}, "WALLFUL_SECRET_KEY: not set"),
        ({"WALLFUL_DEBUG": "0", "WALLFUL_SECRET_KEY": "short"}, "WALLFUL_SECRET_KEY: 5 characters"),
        ({"WALLFUL_PUBLIC_URL": "shop.example.org"}, "WALLFUL_PUBLIC_URL: 'shop.example.org'"),
    ],
)
def test_a_setting_that_cannot_be_used_ends_the_start_with_its_name(tmp_path, variables, named):
    ended = start(tmp_path, "-c", "import config.settings", **variables)
    assert ended.returncode == 1
    assert ended.stderr.startswith(named)


def test_a_site_in_debug_listens_on_this_machine_only(tmp_path):
    ended = start(tmp_path, "-m", "django", "serve", "--host=0.0.0.0", WALLFUL_DEBUG="1")
    assert ended.returncode == 1
    assert "WALLFUL_DEBUG=0" in ended.stderr


@pytest.mark.parametrize(
    ("variables", "shown"),
    [
        ({}, "True False"),
        ({"WALLFUL_DEBUG_PAGES": "1"}, "True True"),
        ({"WALLFUL_DEBUG": "0", "WALLFUL_DEBUG_PAGES": "1", "WALLFUL_SECRET_KEY": KEY}, "False False"),
    ],
)
def test_pages_of_code_are_for_who_asks_for_them_on_a_laptop(tmp_path, variables, shown):
    said = start(tmp_path, "-c", "from config.settings import DEBUG, LAPTOP; print(LAPTOP, DEBUG)", **variables)
    assert said.stdout.strip() == shown, said.stderr

"""Which Chromium is driven, and how it is kept quiet."""

import os
import shutil

QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--no-first-run", "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream",
]  # fmt: skip


def chromium_path() -> str:
    """The Chromium to drive. Fails, rather than skips, where there is none."""
    found = os.environ.get("WALLFUL_TEST_CHROMIUM") or shutil.which("chromium")
    assert found, "no Chromium: on Debian run 'apt-get install chromium', or name one in WALLFUL_TEST_CHROMIUM"
    return found

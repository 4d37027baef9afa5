"""One Chromium and one prepared show for all journeys; each journey gets a copy of the show and its own server."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.browser.chromium import QUIET, chromium_path
from tests.browser.site import Site, prepare, served, settings
from tests.browser.visitor import Visitor
from tests.processes import run


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser; every visitor is a context of its own in it."""
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=chromium_path(), args=QUIET)
        yield running
        running.close()


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with the demonstration show; WALLFUL_TEST_PREPARED names one that was prepared before."""
    data = tmp_path_factory.mktemp("prepared") / "data"
    kept = os.environ.get("WALLFUL_TEST_PREPARED")
    if kept:
        shutil.copytree(kept, data)
        run("manage.py", "migrate", "--verbosity", "0", env=settings(data))
        run("manage.py", "plan", "demo", env=settings(data))  # anew, if the engine has changed since
    else:
        prepare(data)
    return data


@pytest.fixture
def site(prepared: Path, tmp_path: Path) -> Iterator[Site]:
    """A served copy of the prepared show."""
    with served(prepared=prepared, at=tmp_path / "data") as site:
        yield site


@pytest.fixture
def visit(browser: Browser, site: Site) -> Iterator[Callable[..., Visitor]]:
    """Opens tabs on the site, and fails at the end of the test if any of them met a fault."""
    opened: list[Visitor] = []

    def visit(*, size: tuple[int, int], name: str, **more: Any) -> Visitor:
        opened.append(Visitor(browser, url=site.url, size=size, name=name, **more))
        return opened[-1]

    yield visit
    for visitor in opened:
        visitor.close()

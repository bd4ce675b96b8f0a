"""The test bed: the demo site built once, served on a loopback port, and pages to open it with.

A test asks for ``site`` and for ``phone`` (390 × 844, touch) or ``desk`` (1280 × 900):

    def test_the_torque_is_on_the_page(site: Served, phone: Page) -> None:
        phone.goto(site.page("procedures/fit-tf-220"))
        expect(phone.get_by_role("table").first).to_contain_text("10 N·m")

Each test has a fresh profile. A script's error or a violation of the content-security policy on a
page opened with these fixtures fails the test.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import find_chromium, started, watched_page
from tests.browser.serving import Served
from tests.site.building import built_once

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

PROJECT = Path(__file__).resolve().parents[2]

expect.set_options(timeout=15_000)  # the machine may be busy: what comes, comes as soon as it can


@pytest.fixture(scope="session")
def demo_html(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the demo site, built once for all tests; nothing may write into it."""
    find_chromium()  # without a browser there is no need to build
    return built_once(tmp_path_factory).html


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The browser, one for all tests of a process."""
    with started() as browser:
        yield browser


@pytest.fixture
def site(demo_html: Path) -> Iterator[Served]:
    """The demo site on a server of this test's own."""
    served = Served(demo_html)
    yield served
    served.close()


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A page on the technician's phone."""
    with watched_page(browser, "phone") as page:
        yield page


@pytest.fixture
def desk(browser: Browser) -> Iterator[Page]:
    """A page at the desk."""
    with watched_page(browser, "desk") as page:
        yield page

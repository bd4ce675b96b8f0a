"""The browser of the tests: Debian's Chromium, driven by Playwright."""

from __future__ import annotations

import os
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import sync_playwright

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page

SIZES = {"phone": (390, 844), "desk": (1280, 900)}
"""The screens: a technician's phone, and a desk; width and height in CSS pixels."""

PROGRAMS = ("chromium-headless-shell", "chromium")
"""Debian's packages and programs, the one to take first."""

FLAGS = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu"]


def find_chromium() -> str:
    """Return the path of the browser: ``CHROMIUM`` if set, else the one on the search path.

    The headless shell goes before the whole browser: the same pages in half the time. Without
    either the test is skipped; where ``CI`` is ``true`` it fails.
    """
    found = os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, PROGRAMS)), None)
    if found:
        return found
    reason = (
        f"no browser: install Debian's package `{PROGRAMS[0]}` or `{PROGRAMS[1]}`,"
        " or set CHROMIUM to the path of one"
    )
    if os.environ.get("CI") == "true":
        pytest.fail(reason)
    pytest.skip(reason)


@contextmanager
def started() -> Iterator[Browser]:
    """Start the browser, and stop it at the end."""
    path = find_chromium()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        try:
            yield browser
        finally:
            browser.close()


def new_context(browser: Browser, size: str, **more: object) -> BrowserContext:
    """Return a fresh profile with a screen of :data:`SIZES`; storage and caches are empty.

    Service workers are off, so that each test reads what the server has: put them on with
    ``service_workers="allow"``. Further words are Playwright's, ``color_scheme="dark"`` say.
    """
    width, height = SIZES[size]
    settings: dict[str, object] = {
        "viewport": {"width": width, "height": height},
        "has_touch": size == "phone",
        "is_mobile": size == "phone",
        "device_scale_factor": 2 if size == "phone" else 1,
        "service_workers": "block",
    }
    context = browser.new_context(**{**settings, **more})  # type: ignore[arg-type]
    context.set_default_timeout(10_000)
    return context


class Watched:
    """What a page's scripts and the browser complain of: errors and policy violations."""

    def __init__(self, page: Page) -> None:
        self.complaints: list[str] = []
        page.on("pageerror", lambda error: self.complaints.append(f"error: {error}"))
        page.on("console", self._console)

    def _console(self, message: ConsoleMessage) -> None:
        if "Content Security Policy" in message.text:
            self.complaints.append(message.text)


@contextmanager
def watched_page(browser: Browser, size: str, **more: object) -> Iterator[Page]:
    """Open a page in a fresh profile; fail at the end on a script's error or a policy violation."""
    context = new_context(browser, size, **more)
    page = context.new_page()
    watched = Watched(page)
    try:
        yield page
    finally:
        context.close()
    if watched.complaints:
        raise AssertionError("\n".join(watched.complaints))

"""What a device keeps, and how long that takes: ``python -m tests.benchmarks.keeping [PAGES]``.

Builds a generated manual of that many procedure pages (5,000), 50 a car, or takes the site in a
folder that is named instead. Opens a car's page in a browser with a profile on disk, as a card's
code leads to it, and prints after each step the seconds until the page says that all is kept, what
the server sent, and by how much the browser's own estimate of the storage grew: the lists and the
search, then one car, chosen by its name.
"""

from __future__ import annotations

import re
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import expect, sync_playwright

from tests.benchmarks.generated import write_manual
from tests.benchmarks.weight import build
from tests.browser.chromium import FLAGS, find_chromium
from tests.browser.serving import Served

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Page

SMALLEST = ("1",)
"""The smallest runs, which the tests start."""
KEPT = re.compile("is kept|^ready")
READY = re.compile("^ready without a network$")
LONGEST = 240_000


@contextmanager
def phone(profile: Path) -> Iterator[Page]:
    """A page in a profile on disk: in one that is not, storage is counted otherwise."""
    with sync_playwright() as playwright:
        context = playwright.chromium.launch_persistent_context(
            profile,
            executable_path=find_chromium(),
            args=FLAGS,
            viewport={"width": 390, "height": 844},
        )
        try:
            yield context.pages[0]
        finally:
            context.close()


class Measured:
    """The time, the bytes sent and the storage of what one step of a technician brings."""

    def __init__(self, page: Page, served: Served) -> None:
        self.page, self.served, self.used = page, served, 0

    def step(self, name: str, begun: float, state: re.Pattern[str]) -> None:
        """Wait until all is kept; print what has come since the last step."""
        page = self.page
        expect(page.locator(".phone-state")).to_have_text(state, timeout=LONGEST)
        seconds = time.perf_counter() - begun
        page.wait_for_timeout(2_000)  # the browser's own account comes a little later
        used = page.evaluate("navigator.storage.estimate().then(({ usage }) => usage)")
        files, sent = len(self.served.sent), self.served.bytes_sent() / 1e6
        stored = (used - self.used) / 1e6
        print(f"{name:18} {seconds:7.1f} s {files:7} files {sent:8.2f} MB sent", end="")
        print(f"{stored:8.2f} MB stored")
        if page.locator(".this-phone").get_attribute("open") is None:
            page.locator(".this-phone summary").click()
        said = page.locator(".kept-total").text_content() or ""
        print(f"  the page says: {said.partition(' Every')[0]}", flush=True)
        self.used = used
        self.served.sent.clear()


def measure(html: Path, profile: Path) -> None:
    """Print what is kept of a site after each step."""
    served = Served(html)
    try:
        with phone(profile) as page:
            measured = Measured(page, served)
            begun = time.perf_counter()
            page.goto(served.page("vehicles/p00000"))
            measured.step("what comes unasked", begun, KEPT)
            box = page.locator(".kept-parts").get_by_label("Car 0 (")
            if not box.is_checked():
                box.check()
                begun = time.perf_counter()
                page.get_by_role("button", name="Keep these").click()
                measured.step("one car", begun, READY)
    finally:
        served.close()


def main(words: list[str]) -> None:
    """Print the figures for a generated manual, or for the site in a folder."""
    site = words[0] if words else "5000"
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        html = Path(site)
        if site.isdigit():
            write_manual(root / "docs", int(site), str)
            html = root / "html"
            build(root / "docs", html)
        measure(html, root / "profile")


if __name__ == "__main__":
    main(sys.argv[1:])

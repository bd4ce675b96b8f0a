"""Updates cut off on the way: ``python -m tests.browser.cutting CUTS [SITE]``.

Keeps a site in a browser, begins a job on one of its pages, and publishes one edition after the
other, each with a stamp in pages, style, script and index. Each update is cut after so many bytes:
before a file, within its first or last byte, in its middle. Then, without a network, every page has
to be of one edition with all that it loads, and the same as the others but for the page with the
job, which stays as it was when the job was begun; the tick is still there. With the network back
the new edition comes whole. Prints how many cuts were looked at; the first mixture ends it.
"""

from __future__ import annotations

import itertools
import json
import shutil
import subprocess
import sys
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from procedures_lib.fronts.site.offline import is_kept, kept_file, offline_files
from procedures_lib.manual import Manual
from tests.browser.chromium import started, watched_page
from tests.browser.serving import Served, packed_body
from tests.browser.test_follow import begin_on_unknown_car

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

PROJECT = Path(__file__).resolve().parents[2]
HELD = "procedures/fit-tf-220"
PAGES = ("procedures/fit-bd-310", "index", "vehicles/tarrow-finch", "jobs/index")
STAMPED = (
    *(f"{name}.html" for name in (HELD, *PAGES)),
    "_static/bench.css", "_static/car.js", "find/start.json",
)  # fmt: skip
LISTS = ("offline/version.json", "offline/files.json")
EDITIONS = """async () => {
  const root = new URL(document.documentElement.dataset.content_root, location.href);
  const found = [document.querySelector("main").dataset.edition];
  for (const name of ["_static/bench.css", "_static/car.js", "find/start.json"]) {
    const text = await fetch(new URL(name, root)).then((answer) => answer.text());
    found.push(/edition\\W+(\\d+)/.exec(text)?.[1]);
  }
  return found.join(" ");
}"""
"""The editions of a page and of what it loads, as the browser gets them."""
COMES = """async (version) => {
  for (let turn = 0; turn < 600; turn += 1) {
    const notes = await caches.open("manual-notes-1");
    const [key] = (await notes.keys()).filter(({ url }) => url.endsWith("/notes"));
    const kept = await notes.match(key);
    const isPacked = kept.headers.has("X-Kept-Packed");
    const body = isPacked ? kept.body.pipeThrough(new DecompressionStream("gzip")) : kept.body;
    if ((await new Response(body).json()).current === version) return true;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  return false;
}"""
"""Whether a version comes to be the current one within half a minute."""
KEYS = "Object.keys(localStorage).filter((key) => key.startsWith('procedures-job:')).length"


def stamped(name: str, text: str, edition: int) -> str:
    """A file of the site as it is in an edition."""
    if name.endswith(".html"):
        return text.replace("<main ", f'<main data-edition="{edition}" ', 1)
    if name.endswith(".json"):
        return text.replace("{", f'{{"edition": {edition}, ', 1)
    return f"{text}\n/* edition {edition} */\n"


class Editions:
    """A site in a folder of its own, published edition after edition in its place."""

    def __init__(self, site: Path, folder: Path) -> None:
        self.root = folder / "site"
        shutil.copytree(site, self.root)
        self._texts = {name: (site / name).read_text("utf-8") for name in STAMPED}
        names = (p.relative_to(site).as_posix() for p in site.rglob("*") if p.is_file())
        self._kept = {n: kept_file(n, (site / n).read_bytes()) for n in names if is_kept(n)}
        self._manual = Manual.read(PROJECT / "docs")
        self.now = -1

    def publish(self) -> list[int]:
        """Put the next edition in place; return the bytes that each of its new files sends."""
        self.now += 1
        for name, text in self._texts.items():
            content = stamped(name, text, self.now).encode()
            (self.root / name).write_bytes(content)
            self._kept[name] = kept_file(name, content)
        for name, text in offline_files(self._manual, self._kept.values()).items():
            (self.root / name).write_text(text, "utf-8")
        return [len(packed_body((self.root / name).read_bytes())) for name in (*LISTS, *STAMPED)]


def cuts(sizes: list[int], count: int) -> Iterator[int]:
    """So many bytes after which to cut: round the files' boundaries, the coarse before the fine."""
    ends = [0]
    for size in sizes:
        ends.append(ends[-1] + size)
    boundaries = ends[:-1]
    middles = [(one + other) // 2 for one, other in itertools.pairwise(ends)]
    found = [*middles, *boundaries, *(n + 1 for n in boundaries), *(n - 1 for n in ends[1:])]
    step = max(1, ends[-1] // max(1, count))
    found += range(step, ends[-1], step)
    yield from list(dict.fromkeys(found))[:: max(1, len(sizes) // count)][:count]


def look_at(served: Served, page: Page) -> set[str]:
    """The editions that the pages show without a network; a mixture within one fails."""
    served.plugged = False
    found = set()
    for name in PAGES:
        page.goto(served.page(name))
        editions = set(str(page.evaluate(EDITIONS)).split())
        assert len(editions) == 1, (name, editions)
        found |= editions
    page.goto(served.page(HELD))
    assert str(page.evaluate(EDITIONS)).split() == ["0"] * 4, "the page with the job was replaced"
    assert page.evaluate(KEYS) == 1
    expect(page.get_by_label("Step 1 done:")).to_be_checked()
    served.plugged = True
    return found


def comes(editions: Editions, page: Page) -> None:
    """Ask for what is new, and wait until all is here."""
    version = json.loads((editions.root / LISTS[0]).read_text("utf-8"))["version"]
    page.evaluate("dispatchEvent(new Event('online'))")
    assert page.evaluate(COMES, version), editions.now


def begin(served: Served, page: Page) -> None:
    """Keep the site, and begin a job on one of its pages."""
    page.goto(served.page(HELD))
    expect(page.locator(".phone-state")).to_have_text("ready without a network", timeout=30_000)
    page.get_by_label("Step 1 done:").click()
    begin_on_unknown_car(page)
    page.wait_for_timeout(500)  # the worker holds the page


def cut_updates(browser: Browser, site: Path, folder: Path, count: int) -> int:
    """Cut so many updates of a site, each at another byte; return how many were cut.

    Raises AssertionError at the first that leaves a mixture, or loses a tick.
    """
    editions, looked = Editions(site, folder), 0
    editions.publish()
    served = Served(editions.root)
    try:
        with watched_page(browser, "phone", service_workers="allow") as page:
            begin(served, page)
            sizes = editions.publish()
            for after in cuts(sizes, count):
                served.budget = after
                page.evaluate("dispatchEvent(new Event('online'))")
                while served.budget is not None and served.budget >= 0:
                    page.wait_for_timeout(20)
                expect(page.locator(".phone-state")).not_to_contain_text("%", timeout=30_000)
                assert look_at(served, page) == {str(editions.now - 1)}, after
                served.budget = None
                comes(editions, page)
                found = look_at(served, page)
                assert found == {str(editions.now)}, (after, found)
                looked += 1
                editions.publish()
    finally:
        served.close()
    return looked


def main(words: list[str]) -> None:
    """Cut as many updates as the first word says, of the demo or of the site that is named."""
    with tempfile.TemporaryDirectory() as name, started() as browser:
        folder = Path(name)
        site = Path(words[1]) if len(words) > 1 else folder / "html"
        if len(words) == 1:
            built = ["-q", "-c", str(PROJECT / "conf"), str(PROJECT / "docs"), str(site)]
            subprocess.run([sys.executable, "-m", "sphinx", *built], cwd=PROJECT, check=True)  # noqa: S603
        looked = cut_updates(browser, site, folder, int(words[0]))
        print(f"{looked} updates cut, none mixed")


if __name__ == "__main__":
    with suppress(KeyboardInterrupt):
        main(sys.argv[1:])

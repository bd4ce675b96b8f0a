"""What goes over the wire: ``python -m tests.benchmarks.weight [PAGES…]``.

Without a number: opens one page of each kind of the demo site in the browser, each time with an
empty cache, and prints the bytes of all answers (gzip level 6), and how many answers there were.
With numbers: builds generated manuals with so many procedure pages, and prints for each the time
of the list of files as a share of the build, and what a device fetches to have all without a
network.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.fronts.site.offline import is_kept, kept_file, offline_files
from procedures_lib.manual import Manual
from tests.benchmarks.generated import write_manual
from tests.browser.chromium import started, watched_page
from tests.browser.kinds import KINDS
from tests.browser.serving import Served

if TYPE_CHECKING:
    from collections.abc import Mapping

    from playwright.sync_api import Browser

PROJECT = Path(__file__).resolve().parents[2]
SMALLEST = ("1",)
"""The smallest runs, which the tests start."""


def build(docs: Path, out: Path) -> float:
    """Build a site; return the seconds."""
    begun = time.perf_counter()
    words = ["-q", "-c", str(PROJECT / "conf"), "-d", str(out.parent / "doctrees"), str(docs)]
    subprocess.run([sys.executable, "-m", "sphinx", *words, str(out)], check=True)  # noqa: S603
    return time.perf_counter() - begun


def demo(folder: Path) -> None:
    """Print the weight of each kind of page of the demo site."""
    build(PROJECT / "docs", folder / "html")
    served = Served(folder / "html")
    with started() as browser:
        weigh(served, browser, KINDS)
    served.close()


def weigh(served: Served, browser: Browser, kinds: Mapping[str, str]) -> None:
    """Print what one page of each of these kinds weighs."""
    print("kind                     page kB   with css, js kB   answers")
    for kind, name in kinds.items():
        with watched_page(browser, "phone") as page:
            served.sent.clear()
            page.goto(served.page(name))
            page.wait_for_load_state("networkidle")
            own = served.sent[0].size / 1000
            total = served.bytes_sent() / 1000
            print(f"{kind:22} {own:9.1f} {total:17.1f} {len(served.sent):9}", flush=True)


def large(folder: Path, size: int) -> None:
    """Print what a generated manual asks of a device."""
    write_manual(folder / "docs", size, str)
    whole = build(folder / "docs", folder / "html")
    begun = time.perf_counter()
    names = (p for p in sorted((folder / "html").rglob("*")) if p.is_file())
    paths = ((p.relative_to(folder / "html").as_posix(), p) for p in names)
    files = [kept_file(name, p.read_bytes()) for name, p in paths if is_kept(name)]
    texts = offline_files(Manual.read(folder / "docs"), files)
    share = (time.perf_counter() - begun) / whole
    content = json.loads(texts["offline/files.json"])
    total = sum(file[1] for file in content["files"].values())
    listed = kept_file("", texts["offline/files.json"].encode()).packed
    print(f"{size} pages: {len(files)} files, {total / 1e6:.1f} MB packed")
    print(
        f"  the list itself: {listed / 1e3:.0f} kB packed; made anew, with the manual read again,"
    )
    print(f"  in {share:.1%} of the time of the whole build")
    for part in content["parts"][:4]:
        print(f"  {part['name']}: {part['files']} files, {part['packed'] / 1e6:.2f} MB", flush=True)


def main() -> None:
    """Print the figures."""
    sizes = [int(word) for word in sys.argv[1:]]
    with tempfile.TemporaryDirectory() as folder:
        if not sizes:
            demo(Path(folder))
        for size in sizes:
            large(Path(folder) / str(size), size)


if __name__ == "__main__":
    main()

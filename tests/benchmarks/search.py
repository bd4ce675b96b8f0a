"""The search on a large manual: ``python -m tests.benchmarks.search [PAGES] [--beside]``.

Generates a manual of that many procedure pages (2,000), makes its index, serves it with the theme's
own scripts, and searches in a browser, each query as the first on a fresh phone. Prints where the
right row stands, and what went over the wire, gzipped: scripts, index and hits. ``--beside`` does
the same with pagefind where it is installed; ``--share PAGES`` prints what the index takes of a
build of that many pages.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import sphinx.search

from procedures_lib.engineering.quantities import NO_BREAK_SPACE
from procedures_lib.fronts.search import FoundPage, index_files, make_index, rows_of_page
from procedures_lib.fronts.site.theme import THEME
from procedures_lib.manual import Manual
from tests.benchmarks.beside import pagefind_files, pagefind_search
from tests.benchmarks.generated import write_manual
from tests.benchmarks.named import car_name, named, part_number, thing_name, torque_of
from tests.benchmarks.share import print_share
from tests.browser.chromium import new_context, started
from tests.browser.serving import Served

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from playwright.sync_api import Browser

    Search = Callable[[Any, str], list[str]]

STATIC = THEME / "static"
FIRST = 3
SMALLEST = ("1 --beside", "--share 1")
"""The smallest runs, which the tests start."""


@dataclass(frozen=True, slots=True)
class Query:
    """What is typed, and a text that each right hit has ("kind | name | number wanted")."""

    text: str
    right: str


def queries(car: int) -> list[Query]:
    """The queries of the budget, about one car of the manual."""
    bolts = f"{thing_name(car, 2)} bolts"
    number, torque = part_number(car, 5), f"| {torque_of(car, 1)} N·m"
    place, thing = bolts.split()[:2]
    return [
        Query(number, number),
        Query(number.replace("-", "").lower(), number),
        Query("M8", "M8x1.25"),
        Query("m8 x 1.25", "M8x1.25"),
        Query(f"{torque_of(car, 1)} N·m", torque),
        Query(f"{torque_of(car, 1)}Nm", torque),
        Query("89 in-lb", "| 10 N·m"),
        Query(f"{bolts} torque", f"Fastener | {bolts} |"),
        Query(f"{place} {thing[:-2]}{thing[-1]} bolts", f"Fastener | {bolts} |"),
        Query("13 mm socket", "Tool | 13 mm socket |"),
        Query(car_name(car), f"Car | {car_name(car)} |"),
        Query(f"take the {thing_name(car, 2)} off", f"Step | Take the {thing_name(car, 2)} off |"),
        Query(f"which socket for the {bolts}", "mm socket"),
        Query(f"how tight are the {bolts}", f"Fastener | {bolts} |"),
        Query(f"{thing_name(car, 2)} removal", f"Step | Take the {thing_name(car, 2)} off |"),
        Query("gearbox oil cooler bolts", "oil cooler bolts |"),
    ]


def found_pages(root: Path) -> list[FoundPage]:
    """The rows of a generated manual; anchors as they are, for nothing follows them here."""
    manual = Manual.read(root)
    return [
        FoundPage(
            name.removesuffix(".md"),
            name.replace(".md", ".html"),
            content.page.title,
            "procedure" if name.startswith("procedures/p") else "car",
            rows_of_page(manual, name),
        )
        for name, content in manual.contents.items()
    ]


def write_site(root: Path, pages: Sequence[FoundPage]) -> None:
    """Write the index of a manual, the theme's scripts, and one page to search on."""
    for path, text in index_files(make_index(pages)).items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(text, encoding="utf-8")
    shutil.copytree(STATIC, root / "_static")  # the scripts of the search import others
    stemmers = Path(sphinx.search.__file__).with_name("non-minified-js")
    for name in ("base-stemmer.js", "english-stemmer.js"):
        shutil.copy(stemmers / name, root / "_static")
    head = '<!DOCTYPE html><html lang="en" data-content_root="./"><title>Search</title>'
    (root / "page.html").write_text(head, encoding="utf-8")


def own_search(page: Any, text: str) -> list[str]:
    """Search with the theme's own scripts; return the hits as texts."""
    hits = page.evaluate(
        """async text => {
            const { search } = await import("./_static/find-search.js");
            const shown = hit => [...hit.answer, hit.shown].join(", ");
            return (await search(text)).hits.map(hit => [hit.kind, hit.name, shown(hit)]);
        }""",
        text,
    )
    return [" | ".join(hit) for hit in hits]


def measured(browser: Browser, served: Served, search: Search, query: Query) -> tuple[int, int]:
    """Search as the first query on a fresh phone; return the right hit's rank and the bytes."""
    context = new_context(browser, "phone")
    page = context.new_page()
    page.goto(served.page("page"))
    served.sent.clear()
    hits = [hit.replace(NO_BREAK_SPACE, " ") for hit in search(page, query.text)]
    size = served.bytes_sent()
    context.close()
    right = (n for n, hit in enumerate(hits, start=1) if query.right.lower() in hit.lower())
    return next(right, 0), size


def print_table(root: Path, search: Search, asked: list[Query]) -> None:
    """Print rank and bytes of each query on the site below ``root``."""
    served = Served(root)
    ranks = []
    try:
        with started() as browser:
            print("typed                                rank   kB over the wire   files")
            for query in asked:
                rank, size = measured(browser, served, search, query)
                ranks.append(rank)
                files = len(served.sent)
                print(f"{query.text:36} {rank or '–':>5} {size / 1000:18.1f} {files:7}", flush=True)
    finally:
        served.close()
    good = sum(0 < rank <= FIRST for rank in ranks)
    print(f"{good} of {len(ranks)} among the first {FIRST}\n")


def main(words: list[str]) -> None:
    """Print the tables asked for on the command line."""
    if "--share" in words:
        print_share(int(words[words.index("--share") + 1]))
        return
    count = next((int(word) for word in words if word.isdigit()), 2000)
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        write_manual(root / "docs", count, named)
        pages = found_pages(root / "docs")
        begun = time.process_time()
        write_site(root / "site", pages)
        sizes = [file.stat().st_size for file in (root / "site" / "find").rglob("*.json")]
        print(f"{count} pages: {len(sizes)} files of {sum(sizes) / 1e6:.1f} MB, made in "
              f"{time.process_time() - begun:.1f} s of processor time")  # fmt: skip
        asked = queries(count // 100)
        print_table(root / "site", own_search, asked)
        if "--beside" in words:
            begun = time.perf_counter()
            if not pagefind_files(root / "beside", pages):
                print("pagefind is not installed")
                return
            print(f"pagefind, made in {time.perf_counter() - begun:.0f} s")
            print_table(root / "beside", pagefind_search, asked)


if __name__ == "__main__":
    main(sys.argv[1:])

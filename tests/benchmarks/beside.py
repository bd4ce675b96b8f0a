"""Pagefind over the same rows, to compare with: run only where it is installed."""

from __future__ import annotations

import asyncio
import importlib.util
from html import escape
from typing import TYPE_CHECKING, Any

from procedures_lib.fronts.search import KINDS, make_index

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from procedures_lib.fronts.search import FoundPage
    from procedures_lib.fronts.search.index import Hit

_HEAD = '<!DOCTYPE html><html lang="en"><title>{title}</title>'


def pagefind_files(root: Path, pages: Sequence[FoundPage]) -> bool:
    """Write pages of the rows, pagefind's index of them, and a page to search on.

    Returns whether there is an index: none without pagefind.

    Each row is a heading with an id on its home page, which pagefind finds by itself; its terms
    stand below it, so that numbers with units are there in the short form too. (Records of their
    own, through the Python API, go in at ten a second.)
    """
    index = make_index(pages)
    for page, hits in zip(index.pages, index.hits, strict=True):
        file = root / page.uri
        file.parent.mkdir(parents=True, exist_ok=True)
        body = "".join(_row(n, hit) for n, hit in enumerate(hits))
        file.write_text(f"{_HEAD.format(title=escape(page.title))}<main>{body}", encoding="utf-8")
    if importlib.util.find_spec("pagefind") is None:
        return False
    asyncio.run(_write(root))
    (root / "page.html").write_text(_HEAD.format(title="Search"), encoding="utf-8")
    return True


def _row(number: int, hit: Hit) -> str:
    line = escape(f"{KINDS[hit.row.kind]} | {hit.row.name} | {hit.row.shown}")
    terms = " ".join(sorted(hit.strong))
    level = 1 if hit.row.key[1] == "" else 2
    return f'<h{level} id="row-{number}">{line}</h{level}><p>{escape(terms)}</p>'


async def _write(root: Path) -> None:
    pagefind = importlib.import_module("pagefind.index")
    config = pagefind.IndexConfig(output_path=str(root / "pagefind"))
    async with pagefind.PagefindIndex(config=config) as index:
        await index.add_directory(str(root))


def pagefind_search(page: Any, text: str) -> list[str]:
    """Search with pagefind's own script; return the headings of the first pages that it finds."""
    hits: list[str] = page.evaluate(
        """async text => {
            const pagefind = await import("./pagefind/pagefind.js");
            const { results } = await pagefind.search(text);
            const first = await Promise.all(results.slice(0, 5).map(result => result.data()));
            return first.flatMap(data => data.sub_results.map(sub => sub.title));
        }""",
        text,
    )
    return hits

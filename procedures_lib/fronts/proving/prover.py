"""One page to sybil's regions: each is a block, a row, an example, or the page around them."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from sybil import Document, Region, Sybil

from procedures_lib.findings import Finding, Place
from procedures_lib.fronts.proving.examples import example_regions, judge_sample, text_between
from procedures_lib.judging.checks import check_page
from procedures_lib.judging.checks.prose import GUIDES, may_run
from procedures_lib.language.entities.content import Content
from procedures_lib.language.reading.page import Block, Fence, Page
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import DataFiles
from procedures_lib.manual.shop import Shop, read_shop

if TYPE_CHECKING:
    from sybil import Example


class Prover:
    """Makes tests of the pages of one manual; it is read once, when the first page is collected.

    ``folder`` holds the pages, ``settings`` the shop's; ``others`` are pages outside the folder
    (a README) of which only the code examples are run.
    """

    def __init__(self, folder: Path, settings: Path, others: tuple[Path, ...] = ()) -> None:
        self._folder = folder
        self._settings = settings
        self._others = others

    @cached_property
    def manual(self) -> Manual:
        """The manual that the tests are about."""
        return Manual.read(self._folder, self._shop[0])

    @cached_property
    def _shop(self) -> tuple[Shop, list[Finding]]:
        """The shop, and what is wrong in its file, by the file's own path."""
        shop, findings = read_shop(self._settings)
        path = f"{self._settings.parent.name}/{self._settings.name}"
        return shop, [replace(f, place=Place(path, f.place.line)) for f in findings]

    def sybil(self) -> Sybil:
        """Return the collector for pytest."""
        top = str(self._folder.parent)
        names = [self._folder.name + "/**/*.md", self._folder.name + "/*.md"]
        return Sybil(
            parsers=[self.regions],
            patterns=[*names, *(path.name for path in self._others)],
            path=top,
            encoding="utf-8-sig",
        )

    def regions(self, document: Document) -> Iterator[Region]:
        """Yield the tests of one page; a file that is no page of the manual has none."""
        path = Path(document.path)
        if path in self._others:
            page = read_page(path.read_bytes(), path.name)
            yield from example_regions(document.text, page.fences)
            return
        name = self._name_of(path)
        if name not in self.manual.contents:
            return
        content = self.manual.contents[name]
        findings = check_page(self.manual, name)
        of_shop = self._shop[1] if name == self._first else []
        yield from _page_regions(document.text, content, findings, self.manual.files, of_shop)
        unrun = _reason_not_to_run(path, content)
        yield from example_regions(document.text, _all_fences(content.page), unrun)

    def _name_of(self, path: Path) -> str:
        """What the manual calls the file; where a link leads takes no part in it."""
        try:
            return Path(os.path.abspath(path)).relative_to(self._folder.absolute()).as_posix()
        except ValueError:
            return ""

    @property
    def _first(self) -> str:
        """The page whose tests tell what is wrong in the shop's file."""
        pages = self.manual.contents
        return "index.md" if "index.md" in pages else next(iter(pages), "")


def _reason_not_to_run(path: Path, content: Content) -> str:
    """Why the examples of a page are not run; "" where they are."""
    if path.is_symlink():
        return "not run: the page is a link; write the example on a page of its own"
    if not may_run(content):
        folders = ", ".join(f"`{name}/`" for name in GUIDES)
        return f"not run: examples are run on pages below {folders} only"
    return ""


def _all_fences(page: Page) -> list[Fence]:
    return [*page.fences, *(fence for block in page.walk() for fence in block.fences)]


def _page_regions(
    text: str,
    content: Content,
    findings: list[Finding],
    files: DataFiles | None,
    others: list[Finding],
) -> Iterator[Region]:
    """Yield a test for each block and row, and one for the page around them.

    ``others`` are findings that stand on no page; the test of the page around the blocks has them.
    """
    taken: set[int] = set()
    for block in content.page.walk():
        if block.name == "expect":
            yield from _expect_regions(text, content, block, findings, taken)
            continue
        inner = {line for child in block.blocks for line in range(child.place.line, child.end + 1)}
        lines = set(range(block.place.line, block.end + 1)) - inner
        taken |= lines
        judge = _judge(findings, lines)
        if block.name == "page-example":
            judge = judge_sample(block, content, judge, files)
        yield text_between(text, block.place.line, block.header_end, judge)
    around = [finding for finding in findings if finding.place.line not in taken]
    lines = {finding.place.line for finding in (*around, *others)}
    judge = _judge([*around, *others], lines)
    yield Region(0, 0, parsed=content.page.name, evaluator=judge)


def _expect_regions(
    text: str, content: Content, block: Block, findings: list[Finding], taken: set[int]
) -> Iterator[Region]:
    """Yield a test for the head of a block of double entry, and one for each of its rows."""
    rows = [
        row.place.line
        for expect in content.expects
        if expect.place == block.place
        for row in expect.rows
    ]
    own = set(range(block.place.line, block.end + 1)) - set(rows)
    taken |= own | set(rows)
    yield text_between(text, block.place.line, block.place.line, _judge(findings, own))
    for line in sorted(set(rows)):
        yield text_between(text, line, line, _judge(findings, {line}))


def _judge(findings: list[Finding], lines: set[int]) -> Callable[[Example], str | None]:
    """Return an evaluator that fails when a finding stands on one of these lines."""
    found = [finding for finding in findings if finding.place.line in lines]

    def judge(_example: Example) -> str | None:
        told = [f"{f.text()}\n    {f.hint}" for f in found]
        return "\n".join(told) or None

    return judge

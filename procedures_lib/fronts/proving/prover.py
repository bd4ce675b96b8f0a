"""One page to sybil's regions: each is a block, a row, an example, or the page around them."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property
from pathlib import Path

from sybil import Document, Region, Sybil

from procedures_lib.findings import Finding, Place
from procedures_lib.fronts.proving.examples import (
    example_regions,
    judge_findings,
    judge_page_example,
    text_between,
)
from procedures_lib.judging.checks import check_page
from procedures_lib.judging.checks.prose import GUIDES, may_run
from procedures_lib.language.entities.work import Content
from procedures_lib.language.reading.page import Block
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import DataFiles
from procedures_lib.manual.shop import Shop, read_shop


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
        yield from _block_regions(document.text, content, findings, self.manual.files)
        around = _off_blocks(content, findings)
        yield Region(0, 0, parsed=name, evaluator=judge_findings([*around, *of_shop]))
        fences = [*content.page.fences, *(f for b in content.page.walk() for f in b.fences)]
        yield from example_regions(document.text, fences, _reason_not_to_run(path, content))

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


def _block_regions(
    text: str, content: Content, findings: list[Finding], files: DataFiles | None
) -> Iterator[Region]:
    """Yield a test for each block and each row of double entry."""
    for block in content.page.walk():
        for first, last, lines in _parts(block, content):
            judge = judge_findings([each for each in findings if each.place.line in lines])
            if block.name == "page-example":
                judge = judge_page_example(block, content, judge, files)
            yield text_between(text, first, last, judge)


def _parts(block: Block, content: Content) -> Iterator[tuple[int, int, set[int]]]:
    """Yield the parts of a block: the first and the last line of each, and all that it answers for.

    A block of double entry has one for its head and one for each row, any other is one part.
    """
    first, lines = block.place.line, set(range(block.place.line, block.end + 1))
    if block.name == "expect":
        tables = [expect for expect in content.expects if expect.place == block.place]
        rows = {row.place.line for expect in tables for row in expect.rows}
        ends = [*(row - 1 for row in sorted(rows)[1:]), block.end]
        spans = [set(range(row, end + 1)) for row, end in zip(sorted(rows), ends, strict=True)]
        yield first, first, lines.difference(*spans)
        yield from ((min(span), min(span), span) for span in spans)
    else:
        inner = {line for child in block.blocks for line in range(child.place.line, child.end + 1)}
        yield first, block.header_end, lines - inner


def _off_blocks(content: Content, findings: list[Finding]) -> list[Finding]:
    """The findings that no part of a block answers for."""
    parts = [part for block in content.page.walk() for part in _parts(block, content)]
    taken = {line for _, _, lines in parts for line in lines}
    return [finding for finding in findings if finding.place.line not in taken]

"""One page to sybil's regions: each is a block, a row, an example, or the page around them."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from sybil import Document, Region, Sybil

from procedures_lib.checks import check_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import OutsideError, name_of
from procedures_lib.manual.shop import read_shop
from procedures_lib.proving.examples import example_regions, text_between
from procedures_lib.proving.samples import judge_sample
from procedures_lib.reading.reader import read_page

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from sybil import Example

    from procedures_lib.entities.content import Content
    from procedures_lib.findings import Finding
    from procedures_lib.manual.data_files import DataFiles
    from procedures_lib.reading.page import Block, Page


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
        shop, _ = read_shop(self._settings)
        return Manual.read(self._folder, shop)

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
        """Yield the tests of one page."""
        path = Path(document.path)
        try:
            name = name_of(path, self._folder)
        except OutsideError:
            page = read_page(path.read_bytes(), path.name)
            yield from example_regions(document.text, page.fences)
            return
        content = self.manual.contents[name]
        findings = check_page(self.manual, name)
        yield from _page_regions(document.text, content, findings, self.manual.files)
        yield from example_regions(document.text, _all_fences(content.page))


def _all_fences(page: Page) -> list[object]:
    return [*page.fences, *(fence for block in page.walk() for fence in block.fences)]


def _page_regions(
    text: str, content: Content, findings: list[Finding], files: DataFiles | None
) -> Iterator[Region]:
    """Yield a test for each block and row, and one for the page around them."""
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
    around = {f.place.line for f in findings} - taken
    yield Region(0, 0, parsed=content.page.name, evaluator=_judge(findings, around))


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

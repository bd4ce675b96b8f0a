"""A ``{page-example}``: its body is read as a manual of one page, and must give what it says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.checks import check_page
from procedures_lib.entities.builder import build
from procedures_lib.manual import Manual
from procedures_lib.reading.reader import read_page

if TYPE_CHECKING:
    from collections.abc import Callable

    from sybil import Example

    from procedures_lib.entities.content import Content
    from procedures_lib.findings import Finding
    from procedures_lib.manual.data_files import DataFiles
    from procedures_lib.reading.page import Block

    Judge = Callable[[Example], str | None]


def sample_findings(text: str, beside: str = "", files: DataFiles | None = None) -> list[Finding]:
    """Return the findings of a page that stands alone.

    The data files that it names are looked for beside the page (of this name) that shows it.
    """
    name = f"{beside.rpartition('/')[0]}/example.md".lstrip("/")
    content = build(read_page(text.encode(), name))
    return check_page(Manual([content], files=files, whole=False), name)


def judge_sample(
    block: Block, content: Content, first: Judge, files: DataFiles | None = None
) -> Judge:
    """Return an evaluator that fails unless the sample gives just the findings it names."""
    options = next(s.options for s in content.samples if s.block.place == block.place)
    wanted = sorted({str(name) for name in options.finds})

    def judge(example: Example) -> str | None:
        found = sample_findings(block.body, content.page.name, files)
        names = sorted({finding.check for finding in found})
        if names == wanted:
            return first(example)
        told = "\n".join(f"{f.text()}\n    {f.hint}" for f in found) or "no finding"
        return f"this example must give {wanted or 'no finding'}, but gives {names}:\n{told}"

    return judge

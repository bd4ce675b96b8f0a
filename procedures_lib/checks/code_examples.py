"""Reading: code on pages of the work, which the tests would run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.builder import HEADS
from procedures_lib.findings import Finding, Place

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual
    from procedures_lib.reading.page import Fence, Page

RUN = frozenset({
    "python", "python3", "py", "pycon", "ipython", "doctest", "console", "bash", "sh", "shell",
    "shell-session", "zsh", "fish", "powershell", "pwsh", "bat", "cmd",
})  # fmt: skip
"""Languages of code that is there to be run; what is only read (JSON, YAML, CSV …) is let pass."""


def code_in_page(manual: Manual, page: str) -> Iterator[Finding]:
    """Find code to run on a page about a car, a kit, a procedure, a job or a dyno session."""
    content = manual.contents[page]
    if not HEADS.keys() & {entity.KIND for entity in content.entities} and not content.lost_heads:
        return
    for fence in _fences(content.page):
        if fence.language.strip("{}").lower() in RUN:
            said = f"a code example in `{fence.language}` stands on a page of the work"
            hint = "move it to a guide page, or call it `text` if it is only to be read"
            yield Finding(Place(page, fence.line), "code-in-page", said, hint)


def _fences(page: Page) -> Iterator[Fence]:
    yield from page.fences
    for block in page.walk():
        yield from block.fences

"""Reading and quantities: what the reader itself found."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.findings import Finding
    from procedures_lib.manual import Manual


def as_read(manual: Manual, page: str) -> Iterator[Finding]:
    """Pass on what was found while the page was read."""
    content = manual.contents[page]
    yield from content.page.findings
    yield from content.findings

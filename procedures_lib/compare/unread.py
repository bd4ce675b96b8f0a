"""What can't be compared, because one of the states can't be read there: said, not passed over."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.compare.change import Unread
from procedures_lib.findings import Place

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.content import Content
    from procedures_lib.findings import Finding
    from procedures_lib.manual import Manual


def unread_in(manual: Manual, side: str) -> Iterator[Unread]:
    """Yield the pages, blocks and things of one state that could not be read."""
    for content in manual.contents.values():
        findings = (*content.page.findings, *content.findings)
        whole = unread_page(content)
        if whole is not None:
            yield Unread(whole.place, side, "page", whole.message)
            continue
        for finding in findings:
            if finding.check == "unreadable-block":
                yield Unread(finding.place, side, "block", finding.message)
        for name in sorted(content.lost):
            yield Unread(_place_of_lost(name, findings, content), side, f"`{name}`",
                         "its block can't be read")  # fmt: skip


def unread_page(content: Content) -> Finding | None:
    """Return why a page could not be read at all, None when it could."""
    if content.page.blocks or content.page.prose or content.page.title:
        return None
    bad = (found for found in content.page.findings if found.check == "unreadable-page")
    return next(bad, None)


def _place_of_lost(name: str, findings: tuple[Finding, ...], content: Content) -> Place:
    told = (finding.place for finding in findings if f"`{name}`" in finding.message)
    return next(told, Place(content.page.name, 1))

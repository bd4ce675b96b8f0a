"""The outline of a page: what other pages need to know of it, without its steps and its words."""

from __future__ import annotations

from dataclasses import replace

from procedures_lib.entities.content import Content
from procedures_lib.manual.folder import UNREAD
from procedures_lib.reading.page import Page


def outline(content: Content) -> Content:
    """Return a page's heads and things, and that it could not be read; all else is left out."""
    page = content.page
    unread = tuple(found for found in page.findings if found.check in UNREAD)
    return replace(
        content,
        page=Page(
            page.name,
            page.title,
            sections=page.sections,
            findings=() if page.blocks else unread,
            pointers=page.pointers,
            settings=page.settings,
        ),
        steps=(),
        expects=(),
        derived=(),
        samples=(),
        signals=(),
        findings=(),
    )

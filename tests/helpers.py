"""Small manuals made from text, for tests."""

from __future__ import annotations

from textwrap import dedent
from typing import TYPE_CHECKING

from procedures_lib.judging.checks import check_manual
from procedures_lib.judging.checks.catalogue import CATALOGUE
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual

if TYPE_CHECKING:
    from collections.abc import Mapping

    from procedures_lib.findings import Finding
    from procedures_lib.language.entities.entity import Entity
    from procedures_lib.language.entities.work import Content
    from procedures_lib.language.reading.page import Page
    from procedures_lib.manual.shop import Shop


WRITING = frozenset({"reading", "quantities", "drift"})


def raw_of(text: str | bytes) -> bytes:
    """Return a page's bytes: common indentation and an empty first line are taken off a text."""
    return text if isinstance(text, bytes) else dedent(text).removeprefix("\n").encode()


def page_from(text: str | bytes, name: str = "page.md") -> Page:
    """Read one page."""
    return read_page(raw_of(text), name)


def content_from(text: str | bytes, name: str = "page.md") -> Content:
    """Read and type one page."""
    return build(page_from(text, name))


def entity_from(text: str | bytes, name: str) -> Entity:
    """Return the entity with this id on a page that has to be read without a finding."""
    content = content_from(text)
    assert (*content.page.findings, *content.findings) == ()
    return next(entity for entity in content.entities if entity.id == name)


def manual_from(pages: Mapping[str, str | bytes], shop: Shop | None = None) -> Manual:
    """Read a manual whose pages are given as text or bytes, by name."""
    return Manual((content_from(text, name) for name, text in pages.items()), shop)


def findings_of(
    pages: str | bytes | Mapping[str, str | bytes] | Manual, check: str = ""
) -> list[Finding]:
    """Return all findings of a manual (or of one page, `page.md`), or those of one check."""
    if isinstance(pages, str | bytes):
        pages = {"page.md": pages}
    manual = pages if isinstance(pages, Manual) else manual_from(pages)
    return [found for found in check_manual(manual) if check in ("", found.check)]


def slips_of(
    pages: str | bytes | Mapping[str, str | bytes] | Manual, check: str = ""
) -> list[Finding]:
    """Return the findings about what is written: of the families reading, quantities and drift."""
    return [
        found for found in findings_of(pages, check) if CATALOGUE[found.check].family in WRITING
    ]


def only_slip(pages: str | bytes | Mapping[str, str | bytes] | Manual) -> Finding:
    """Return the one such finding of a manual; fail when there are none or several."""
    found = slips_of(pages)
    assert len(found) == 1, [finding.text() for finding in found]
    return found[0]


def summary(findings: list[Finding]) -> list[tuple[int, str]]:
    """Return (line, check) of findings: short enough to compare at a glance."""
    return [(finding.place.line, finding.check) for finding in findings]

"""Drift: numbers typed by hand, and sides that change from country to country."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.quantities import find_quantities

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.content import Content
    from procedures_lib.manual import Manual
    from procedures_lib.reading.page import Prose

_SIDE = re.compile(
    r"\b(?:driver|passenger)(?:'s|’s|s|s'|s’)?[ \n-](?:hand[ \n-])?side\b"
    r"|\b(?:near|off)[ -]?side\b",
    re.IGNORECASE,
)
_JUDGED_HEADS = frozenset({"procedure", "common", "job"})
_ROLES = {"torque": "{torque}`fastener-id`", "angle": "{torque}`fastener-id`"}


def _prose(content: Content) -> Iterator[Prose]:
    yield from content.page.prose
    for block in content.page.walk():
        yield from block.prose


def hand_typed(manual: Manual, page: str) -> Iterator[Finding]:
    """Find quantities in the prose of procedure, common and job pages."""
    content = manual.contents[page]
    if not _JUDGED_HEADS & {entity.KIND for entity in content.entities}:
        return
    for prose in _prose(content):
        for typed in find_quantities(prose.text):
            line = prose.line + prose.text.count("\n", 0, typed.start)
            role = _ROLES.get(typed.kind, f"{{q}}`{typed.text}`")
            said = f"the {typed.kind} {typed.text} is typed by hand"
            level = Level.ERROR if typed.kind in _ROLES else Level.WARNING
            yield Finding(Place(page, line), "hand-typed-number", said, f"write {role}", level)


def ambiguous_sides(manual: Manual, page: str) -> Iterator[Finding]:
    """Find "driver's side" and the like in the prose of procedure, common and job pages."""
    content = manual.contents[page]
    if not _JUDGED_HEADS & {entity.KIND for entity in content.entities}:
        return
    for prose in _prose(content):
        for match in _SIDE.finditer(prose.text):
            line = prose.line + prose.text.count("\n", 0, match.start())
            said = f"“{match[0]}” is another side in another country"
            yield Finding(Place(page, line), "side-ambiguous", said,
                          "say left or right, seen from the driver's seat")  # fmt: skip

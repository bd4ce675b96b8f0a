"""Publishing: the places on a page that a link can lead to."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.reading.markdown import inline_tokens

if TYPE_CHECKING:
    from procedures_lib.reading.page import Page

DEEPEST = 3
"""Headings down to this level have a name that a link can use."""

_LEFT_OUT = re.compile(r"[^\w一-鿿\- ]")
_SHOWN = frozenset({"text", "text_special", "code_inline", "myst_role", "image"})


def anchors_of(page: Page) -> frozenset[str]:
    """Return the names that may stand behind ``#`` in a link to a page."""
    found = {label_name(p.target) for p in page.pointers if p.kind == "label"}
    taken: set[str] = set()
    for section in page.sections:
        if section.level <= DEEPEST:
            taken.add(_unique(slug(section.title), taken))
    return frozenset(found | taken)


def slug(title: str) -> str:
    """Return the name of a heading: its words in small letters, joined by hyphens."""
    words = "".join(
        " " if token.type in {"softbreak", "hardbreak"} else token.content
        for token in inline_tokens(title)
        if token.type in _SHOWN or token.type.endswith("break")
    )
    return _LEFT_OUT.sub("", words.lower()).replace(" ", "-")


def _unique(name: str, taken: set[str]) -> str:
    found, n = name, 1
    while found in taken:
        found, n = f"{name}-{n}", n + 1
    return found


def label_name(label: str) -> str:
    """Return a label as it is compared: neither capitals nor the width of gaps count."""
    return " ".join(label.lower().split())

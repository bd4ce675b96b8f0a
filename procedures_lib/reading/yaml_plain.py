"""The plainest YAML, read without a YAML parser: ``key: words`` and ``key: [words, words]`` lines.

Most options of steps are so, and there are very many. Anything else is left to the parser; what is
read here reads the same there.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from procedures_lib.reading.scalar import Tree

_WORDS = r"[A-Za-z0-9](?:[A-Za-z0-9 ._/()=+°·-]*[A-Za-z0-9._/()=+°·-])?"
"""Signs that have no meaning of their own to YAML inside a text without quotes."""
_KEY = r"[a-z]{1,40}(?:-[a-z]{1,40}){0,4}"
_LINE = re.compile(rf"({_KEY}): +(?:({_WORDS})|\[ *({_WORDS}(?: *, *{_WORDS})*) *\]) *(?:\n|\Z)")


def plain_mapping(text: str, first: int) -> dict[Scalar, Tree] | None:
    """Return the mapping that a plain text says; None for any other text, and for an empty one.

    ``first`` is the page's line on which the text begins.
    """
    pairs: dict[Scalar, Tree] = {}
    at, line = 0, first
    while at < len(text):
        match = _LINE.match(text, at)
        if match is None or match[1] in pairs:
            return None
        key, words, items = match.groups()
        pairs[Scalar(key, line)] = (
            Scalar(words, line)
            if words
            else [Scalar(item.strip(), line) for item in items.split(",")]
        )
        at, line = match.end(), line + 1
    return pairs or None

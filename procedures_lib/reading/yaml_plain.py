"""The plainest YAML, read without a YAML parser: words, and lists of words.

Options of steps are so, and there are very many. Anything else is left to the parser; what is read
here reads the same there.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from procedures_lib.reading.scalar import Tree

_KEY = r"[a-z]{1,40}(?:-[a-z]{1,40}){0,4}"
_SIGNS = r"A-Za-z0-9._/()=+°·\-"
"""What has no meaning of its own to YAML inside a text without quotes."""
_WORDS = rf"[A-Za-z0-9](?:[{_SIGNS} ]*[{_SIGNS}])?"
_ALONE = rf"[A-Za-z0-9](?:[{_SIGNS}, ]*[{_SIGNS}])?"
"""Outside brackets a comma has no meaning either."""
_ITEM = rf"  - +{_ALONE} *(?:\n|\Z)"
_ENTRY = re.compile(
    rf"({_KEY}):(?: +(?:({_ALONE})|\[ *({_WORDS}(?: *, *{_WORDS})*) *\]) *(?:\n|\Z)"
    rf"| *\n((?:{_ITEM})+))"
)


def plain_mapping(text: str, first: int) -> dict[Scalar, Tree] | None:
    """Return the mapping that a plain text says; None for any other text, and for an empty one.

    ``first`` is the page's line on which the text begins.
    """
    pairs: dict[Scalar, Tree] = {}
    at, line = 0, first
    while at < len(text):
        match = _ENTRY.match(text, at)
        if match is None or match[1] in pairs:
            return None
        key, words, within, below = match.groups()
        name = Scalar(key, line)
        line += 1
        if words:
            pairs[name] = Scalar(words, name.line)
        elif within:
            pairs[name] = [Scalar(item.strip(), name.line) for item in within.split(",")]
        else:
            items = below.rstrip("\n").split("\n")
            pairs[name] = [Scalar(item[4:].strip(), line + n) for n, item in enumerate(items)]
            line += len(items)
        at = match.end()
    return pairs or None

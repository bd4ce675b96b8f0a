"""HTML typed on a page: what would reach a reader unescaped.

Comments are no HTML here. A comment ends where a browser ends it (WHATWG HTML, 13.2.5.43 to
13.2.5.52): at ``-->`` or ``--!>``, and ``<!-->`` and ``<!--->`` are whole ones.
"""

from __future__ import annotations

import re

_COMMENT = re.compile(r"<!--(?:-?>|.*?--!?>)", re.DOTALL)
_TAG = re.compile(r"<[^\s<>]{0,40}")


def raw_in_html(html: str) -> str:
    """Return what stands in a piece of HTML besides comments: its first tag, "" for nothing."""
    rest = _COMMENT.sub("", html)
    found = _TAG.search(rest)
    return found[0] if found else ""

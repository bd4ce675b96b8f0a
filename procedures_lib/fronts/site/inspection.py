"""The last look at what was rendered: a page is shown only if it is made of known pieces.

What stands on a page was judged when it was read and again when it was rendered. This judges the
outcome by itself: kinds of node, elements, attributes, addresses and files, each by a closed list.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterator
from functools import lru_cache
from html import unescape
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from docutils import nodes
from sphinx.util import logging

from procedures_lib.language.reading.allow_list import SCHEMES
from procedures_lib.manual.folder import DOWNLOADS, PICTURES, is_inside

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.environment import BuildEnvironment


_logger = logging.getLogger(__name__)

REFUSED_NODES = (nodes.raw, nodes.pending, nodes.meta, nodes.substitution_reference)
"""Nodes that no page may leave: what they come to is not known here."""

_DATA = tomllib.loads(
    resources.files("procedures_lib.fronts.site").joinpath("rendered.toml").read_text("utf-8")
)
ELEMENTS = frozenset(_DATA["elements"])
ATTRIBUTES = frozenset(_DATA["attributes"])
_PIECE = re.compile(r"<[^<>]*>")
_TAG = re.compile(
    r"<(?:/([A-Za-z][A-Za-z0-9]*)\s*"
    r"|([A-Za-z][A-Za-z0-9]*)((?:\s+[A-Za-z][\w:.-]*(?:=\"[^\"<>]*\")?)*)\s*/?)>"
)
_ATTRIBUTE = re.compile(r"([A-Za-z][\w:.-]*)(?:=\"([^\"<>]*)\")?")
_OWN_PREFIX = re.compile(r"(?:data|aria)-[a-z0-9_-]+")
_SCHEME = re.compile(r"[\s\x00-\x1f]*([^/?#]*?):")
_COMMENT = re.compile(r"<!--[^<>]*-->")


def faults_in(html: str) -> Iterator[str]:
    """Yield what a piece of HTML holds beside known elements, attributes and addresses."""
    pieces = _PIECE.findall(html)
    if len(pieces) != html.count("<"):
        yield "a `<` that begins no element"
    for piece in set(pieces):
        yield from _piece_faults(piece)


@lru_cache(maxsize=8192)
def _piece_faults(piece: str) -> tuple[str, ...]:
    """The faults of what stands between ``<`` and ``>``; most pages have most pieces in common."""
    tag = _TAG.fullmatch(piece)
    if tag is not None:
        return tuple(_element_faults(tag))
    return () if _COMMENT.fullmatch(piece) else (f"a `<` that begins no element: {piece[:40]!r}",)


def _element_faults(tag: re.Match[str]) -> Iterator[str]:
    name = tag[1] or tag[2]
    if name not in ELEMENTS:
        yield f"an element `{name}`"
    for key, value in _ATTRIBUTE.findall(tag[3] or ""):
        yield from _attribute_faults(name, key, unescape(value))


def _attribute_faults(element: str, key: str, value: str) -> Iterator[str]:
    if key not in ATTRIBUTES and not _OWN_PREFIX.fullmatch(key):
        yield f"an attribute `{key}`"
    elif key in {"href", "src"} and not is_known_address(value, host=element == "a"):
        yield f"an address `{value[:80]}`"
    elif key == "srcset":
        for each in value.split(","):
            if not is_known_address(each.strip(), host=False):
                yield f"an address `{each.strip()[:80]}`"


def is_known_address(address: str, host: bool) -> bool:
    """Whether an address is a path, or of a known scheme where it may lead to another ``host``."""
    scheme = _SCHEME.match(address)
    if scheme is None:
        return not address.lstrip().startswith(("//", "\\", "/\\"))
    return host and scheme[1] in SCHEMES


def add_inspection(app: Sphinx) -> None:
    """Have every page looked at when it is read and when it is written, and the files it brings."""
    app.connect("doctree-read", _read, priority=900)
    app.connect("env-updated", _files, priority=900)
    app.connect("html-page-context", _written, priority=900)


def _read(app: Sphinx, doctree: nodes.document) -> None:
    for node in [n for n in doctree.findall() if isinstance(n, REFUSED_NODES)]:
        _tell(f"a piece `{node.tagname}` that no page may hold", (app.env.docname, node.line))
        node.parent.remove(node)


def _files(app: Sphinx, env: BuildEnvironment) -> None:
    """Take out pictures and files that lie outside of the manual or are of another kind."""
    held: tuple[tuple[dict[Any, tuple[set[str], Any]], frozenset[str]], ...]
    held = ((cast("Any", env.images), PICTURES), (cast("Any", env.dlfiles), DOWNLOADS))
    for brought, kinds in held:
        for path in [path for path in brought if not _is_ours(app, path, kinds)]:
            pages = brought.pop(path)[0]
            _tell(f"a file that may not be published: {path}", (min(pages), None))


def _is_ours(app: Sphinx, path: str | os.PathLike[str], kinds: frozenset[str]) -> bool:
    file = Path(app.srcdir, path)
    return is_inside(Path(app.srcdir), file) and file.suffix in kinds


def _written(
    app: Sphinx, pagename: str, _template: str, context: dict[str, Any], doctree: Any
) -> None:
    if doctree is None:
        return
    for part in ("body", "title", "toc"):
        found = sorted(set(faults_in(context.get(part) or "")))
        for fault in found:
            _tell(f"the page would show {fault}", (pagename, None))
        if found:
            context[part] = "<p>This page is not shown: see what the build says.</p>"


def _tell(message: str, location: tuple[str, int | None]) -> None:
    _logger.warning("%s", message, location=location, type="procedures", subtype="raw-html")

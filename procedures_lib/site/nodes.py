"""The nodes that blocks and roles leave in a page: HTML made ahead, links filled in at the end."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from docutils import nodes

from procedures_lib.site.amounts import amount_open

if TYPE_CHECKING:
    from sphinx.application import Sphinx

OPEN, CLOSE = "\ue000", "\ue001"
_MARK = re.compile(f"{OPEN}([^#{CLOSE}]*)#([^{CLOSE}]*){CLOSE}")


def mark(docname: str, anchor: str) -> str:
    """Return the mark for a link to a page and anchor, to be replaced when the page is written."""
    return f"{OPEN}{docname}#{anchor}{CLOSE}"


class Fragment(nodes.General, nodes.Element):
    """A piece of finished HTML (``html``), with its words (``plain``) for any other output."""


class Boxed(nodes.General, nodes.Element):
    """Children between two pieces of finished HTML, ``before`` and ``after``."""


class ManualLink(nodes.Inline, nodes.TextElement):
    """A word linked to a place of the manual: ``docname`` and ``anchor``; ``classes`` as usual."""


class Amount(nodes.Inline, nodes.TextElement):
    """A torque in running text; ``amounts`` are its texts led by other units."""


def add_nodes(app: Sphinx) -> None:
    """Register the nodes: HTML for a site, plain words for any other output."""
    plain = (_visit_plain, _pass)
    others = dict.fromkeys(("text", "latex", "man", "texinfo"), plain)
    passing = dict.fromkeys(others, (_pass, _pass))
    app.add_node(Fragment, html=(_visit_fragment, None), **others)  # type: ignore[arg-type]
    app.add_node(Boxed, html=(_visit_boxed, _depart_boxed), **passing)  # type: ignore[arg-type]
    app.add_node(ManualLink, html=(_visit_link, _depart_link), **passing)  # type: ignore[arg-type]
    app.add_node(Amount, html=(_visit_amount, _depart_amount), **passing)  # type: ignore[arg-type]


def _filled(translator: Any, html: str) -> str:
    here = translator.builder.current_docname
    pages: dict[str, str] = {here: ""}

    def uri(match: re.Match[str]) -> str:
        docname, anchor = match.groups()
        if docname not in pages:
            pages[docname] = translator.builder.get_relative_uri(here, docname)
        page = pages[docname]
        return f"{page}#{anchor}" if anchor else page or "#"

    return _MARK.sub(uri, html)


def _visit_fragment(translator: Any, node: Fragment) -> None:
    translator.body.append(_filled(translator, node["html"]))
    raise nodes.SkipNode


def _visit_boxed(translator: Any, node: Boxed) -> None:
    translator.body.append(_filled(translator, node["before"]))


def _depart_boxed(translator: Any, node: Boxed) -> None:
    translator.body.append(_filled(translator, node["after"]))


def _visit_link(translator: Any, node: ManualLink) -> None:
    href = _filled(translator, mark(node["docname"], node["anchor"]))
    classes = " ".join(["reference", "internal", *node["classes"]])
    translator.body.append(f'<a class="{classes}" href="{href}">')


def _depart_link(translator: Any, _node: ManualLink) -> None:
    translator.body.append("</a>")


def _visit_amount(translator: Any, node: Amount) -> None:
    translator.body.append(amount_open(node["amounts"]))


def _depart_amount(translator: Any, _node: Amount) -> None:
    translator.body.append("</span>")


def _visit_plain(translator: Any, node: Fragment) -> None:
    if hasattr(translator, "add_text"):
        translator.add_text(node["plain"])
    raise nodes.SkipNode


def _pass(_translator: Any, _node: nodes.Element) -> None:
    """Nothing stands before or after the children."""

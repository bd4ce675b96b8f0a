"""The nodes that blocks and roles leave in a page: HTML, amounts, links filled in at the end.

Every text is worked out here, when the site is built; a page only changes which one it shows.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING, Any

from docutils import nodes

from procedures_lib.engineering.quantities import Quantity, convert
from procedures_lib.engineering.quantities.conversion import TORQUE_LEADS
from procedures_lib.engineering.tightening import Stage
from procedures_lib.fronts.tables.words import stages_led
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual, Scope

if TYPE_CHECKING:
    from sphinx.application import Sphinx


Amounts = dict[str, str]
"""For each unit that may lead besides N·m, the text that it leads; empty without a torque."""

_ATTRIBUTES = {"lbf·ft": "data-lbf-ft", "lbf·in": "data-lbf-in"}


def stage_amounts(stages: Sequence[Stage], number: int = 0) -> Amounts:
    """Return the texts of all stages of a joint, or those of the one numbered."""
    one = 0 < number <= len(stages)
    listed = stages[number - 1 : number] if one else stages
    before = f"stage {number}: " if one else ""
    return {unit: before + text for unit, text in stages_led(listed)}


def quantity_amounts(q: Quantity) -> Amounts:
    """Return the texts of a quantity: none unless it is a torque."""
    if q.kind != "torque":
        return {}
    last = convert(q, TORQUE_LEADS).text
    return {unit: f"{convert(q, unit).text} ({last})" for unit in _ATTRIBUTES}


def amount_open(amounts: Amounts, name: str = "span") -> str:
    """Return the opening tag of an element that shows a torque."""
    texts = "".join(f' {_ATTRIBUTES[unit]}="{escape(text)}"' for unit, text in amounts.items())
    return f'<{name} class="torque"{texts}>'


def amount_html(inner: str, amounts: Amounts, name: str = "span") -> str:
    """Return the element that shows a torque; ``inner`` is HTML."""
    return f"{amount_open(amounts, name)}{inner}</{name}>"


OPEN, CLOSE = "\ue000", "\ue001"
_MARK = re.compile(f"{OPEN}([^#{CLOSE}]*)#([^{CLOSE}]*){CLOSE}")


def mark(docname: str, anchor: str) -> str:
    """Return the mark for a link to a page and anchor, to be replaced when the page is written."""
    return f"{OPEN}{docname}#{anchor}{CLOSE}"


class Fragment(nodes.General, nodes.Element):
    """A piece of finished HTML (``html``), with its words (``plain``) for any other output."""


class Boxed(nodes.General, nodes.Element):
    """Children between two pieces of finished HTML, ``before`` and ``after``.

    That of a step has its number, title and cars as ``step``, for the contents of the page.
    """


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


_STEP_OF = "step of "
_UNSAFE = re.compile(r"[^a-z0-9]+")


def slug(text: str) -> str:
    """Return a text as an anchor: small letters, digits and hyphens."""
    return _UNSAFE.sub("-", text.lower()).strip("-")


def anchor_of(target: str) -> str:
    """Return the anchor of a row or step: ``step:4`` is "step-4"."""
    kind, _, name = target.partition(":")
    return f"{kind}-{slug(name)}"


class Links:
    """Resolves the targets on one page; ``here`` is its docname."""

    def __init__(self, manual: Manual, here: str, scope: Scope) -> None:
        self._manual = manual
        self._scope = scope
        self._here = here
        content = manual.contents.get(f"{here}.md")
        self._has_torque_table = content is not None and any(
            derived.block.name == "torque-table" for derived in content.derived
        )

    def place(self, target: str) -> tuple[str, str] | None:
        """Return (docname, anchor) of a target, or None when there is nothing to link to."""
        kind, _, name = target.partition(":")
        if kind == "page":
            return name, ""
        if kind in {"fastener", "definition"}:
            return self._entity(kind, name)
        if kind.startswith(_STEP_OF):
            return self._step(kind.removeprefix(_STEP_OF), name)
        return self._here, anchor_of(target)

    def href(self, target: str) -> str:
        """Return the marked address of a target, "" when there is nothing to link to."""
        found = self.place(target)
        return mark(*found) if found else ""

    def _step(self, procedure: str, number: str) -> tuple[str, str] | None:
        """A step on the page of another procedure."""
        found = self._manual.head(Procedure, procedure)
        if found is None:
            return None
        return found.place.page.removesuffix(".md"), anchor_of(f"step:{number}")

    def _entity(self, kind: str, name: str) -> tuple[str, str] | None:
        """A fastener's row in this page's torque table where there is one, else its definition."""
        if kind == "fastener" and self._has_torque_table:
            return self._here, anchor_of(f"fastener:{name}")
        entity = self._scope.get(name)
        if entity is None:
            return None
        return entity.place.page.removesuffix(".md"), anchor_of(f"definition:{name}")

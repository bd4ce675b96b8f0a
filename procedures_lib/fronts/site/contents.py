"""The contents of a page: below each heading the steps that stand under it, without any script."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

from docutils import nodes

from procedures_lib.fronts.site.html import applies_html, element
from procedures_lib.fronts.site.nodes import Boxed

if TYPE_CHECKING:
    from sphinx.application import Sphinx


def add_contents(app: Sphinx) -> None:
    """Have the contents of each page list its steps."""
    app.connect("html-page-context", _listed)


def _listed(
    _app: Sphinx,
    _pagename: str,
    _template: str,
    context: dict[str, Any],
    doctree: nodes.document | None,
) -> None:
    if doctree is None or not context.get("toc"):
        return
    for section in doctree.findall(nodes.section):
        steps = [
            child for child in section.children if isinstance(child, Boxed) and "step" in child
        ]
        if steps:
            context["toc"] = _with_steps(context["toc"], section, steps)
            context["display_toc"] = True


def _with_steps(toc: str, section: nodes.section, steps: list[Boxed]) -> str:
    """The contents with the steps behind the link to their heading; the first heading is "#"."""
    names = {f'href="#{name}"' for name in section["ids"]}
    if isinstance(section.parent, nodes.document):
        names.add('href="#"')
    for name in names:
        start = toc.find(name)
        end = toc.find("</a>", start) + len("</a>")
        if start >= 0:
            listed = "".join(_step(*step["step"]) for step in steps)
            return toc[:end] + element("ol", listed, class_="contents-steps") + toc[end:]
    return toc


def _step(number: int, title: str, when: str) -> str:
    text = f"{element('span', str(number))} {escape(title)}"
    link = element("a", text, class_="reference internal", href=f"#step-{number}")
    return element("li", link + applies_html(when), data_when=when)

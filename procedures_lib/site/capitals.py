"""Names that roles put at the beginning of a sentence, with a capital."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from docutils import nodes
from sphinx.transforms import SphinxTransform

from procedures_lib.manual.names import begun

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sphinx.application import Sphinx


def named(node: nodes.Element) -> nodes.Element:
    """Mark a node that is the name of a thing."""
    node["named"] = True
    return node


class Capitals(SphinxTransform):
    """Gives the names with which sentences begin a capital."""

    default_priority = 880

    def apply(self, **_kwargs: Any) -> None:
        """Look at what stands before each name in its paragraph."""
        for node in self.document.findall(nodes.Element):
            if node.get("named"):
                words = node.astext()
                capital = begun(words, _before(node))
                if capital != words:
                    node.clear()
                    node.append(nodes.Text(capital))


def _before(node: nodes.Element) -> str:
    """The text of a paragraph up to a node in it."""
    return "".join(reversed([each.astext() for each in _siblings_before(node)]))


def _siblings_before(node: nodes.Element) -> Iterator[nodes.Node]:
    """Yield what stands before a node in its paragraph, the nearest first."""
    while isinstance(node, nodes.Inline) and isinstance(node.parent, nodes.Element):
        at = node.parent.index(node)
        yield from reversed(node.parent.children[:at])
        node = node.parent


def add_capitals(app: Sphinx) -> None:
    """Register the capitals."""
    app.add_transform(Capitals)

"""The roles: a torque, a name or a quantity in running text, from its block."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from typing import TYPE_CHECKING, Any, ClassVar

from docutils import nodes
from sphinx.transforms import SphinxTransform
from sphinx.util.docutils import SphinxRole

from procedures_lib.engineering.quantities import QuantityError, read_quantity, with_conversion
from procedures_lib.engineering.tightening import Stage
from procedures_lib.fronts.site.nodes import (
    Amount,
    Boxed,
    Links,
    ManualLink,
    anchor_of,
    quantity_amounts,
    stage_amounts,
)
from procedures_lib.fronts.site.rebuild import shown_on
from procedures_lib.fronts.site.state import Site
from procedures_lib.fronts.tables.words import stages_text
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.work import Rule
from procedures_lib.manual.names import begun, cited, humanised, small

if TYPE_CHECKING:
    from docutils.nodes import Node, system_message
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


_Result = tuple[list["Node"], list["system_message"]]


class ManualRole(SphinxRole):
    """What the roles share: look-ups that are noted, and links. What is wrong the checks say."""

    site: ClassVar[Site]

    def run(self) -> _Result:
        """Return the role's words, linked."""
        self.shown = shown_on(self.env, self.site, self.env.docname)
        self.scope = self.shown.scope()
        return [self.made(self.text.strip())], []

    def made(self, target: str) -> nodes.Node:
        """Return the node for a target."""
        raise NotImplementedError

    def linked(self, text: str, target: str, css: str) -> nodes.Element:
        """Return a text linked to a target of this manual, or plain when there is none."""
        place = Links(self.site.manual, self.env.docname, self.scope).place(target)
        if place is None:
            return nodes.inline(text, text, classes=[css])
        return ManualLink(text, text, docname=place[0], anchor=place[1], classes=[css])


class TorqueRole(ManualRole):
    """All stages of a joint."""

    def made(self, target: str) -> nodes.Node:
        fastener = self.scope.of(Fastener, target)
        if fastener is None:
            return self.linked(target, f"fastener:{target}", "torque")
        link = self.linked("", f"fastener:{target}", "reading")
        if fastener.tighten:
            link += _amount(fastener.tighten)
            return link
        link["classes"].append("by-car")
        for when, stages in fastener.how_tight.by_condition:
            if len(link.children):
                link += nodes.inline("; ", "; ", classes=["comma"])
            shown = Boxed("", before=f'<span class="object" data-when="{escape(str(when))}">',
                          after="</span>")  # fmt: skip
            shown += _amount(stages)
            only = f" only: {when}"
            shown += nodes.inline(only, only, classes=["applies"])
            link += shown
        return link


def _amount(stages: Sequence[Stage]) -> Amount:
    text = stages_text(stages)
    return Amount(text, text, amounts=stage_amounts(stages))


class NameRole(ManualRole):
    """The name of a thing."""

    kind: ClassVar[type[Entity]] = Entity

    def made(self, target: str) -> nodes.Node:
        entity = self.scope.of(self.kind, target)
        name = cited(entity, self.scope) if entity else small(humanised(target))
        link = "fastener" if self.kind is Fastener else "definition"
        return named(self.linked(name, f"{link}:{target}", self.kind.KIND))


class ToolRole(ManualRole):
    """The name of a tool."""

    def made(self, target: str) -> nodes.Node:
        content = self.site.manual.contents.get(f"{self.env.docname}.md")
        if content and any(derived.block.name == "tool-list" for derived in content.derived):
            return named(self.linked(target, f"tool:{target}", "tool"))
        return named(nodes.inline(target, target, classes=["tool"]))


class QuantityRole(ManualRole):
    """A quantity with its conversion."""

    def made(self, target: str) -> nodes.Node:
        try:
            quantity = read_quantity(target, signed=True)
        except QuantityError:
            return nodes.inline(target, target, classes=["quantity"])
        text, amounts = with_conversion(quantity), quantity_amounts(quantity)
        if amounts:
            return Amount(text, text, amounts=amounts)
        return nodes.inline(text, text, classes=["quantity"])


class StepRole(ManualRole):
    """A step by its number."""

    def made(self, target: str) -> nodes.Node:
        plan = self.site.manual.plan_of_page(f"{self.env.docname}.md")
        number = plan.step_number(target) if plan else None
        for through in plan.common_heads if plan else ():
            self.shown.note("steps", through)
        text = f"step {number}" if number else target
        return named(
            ManualLink(text, text, docname=self.env.docname, anchor=anchor_of(f"step:{number}"),
                       classes=["step"])
        )  # fmt: skip


def add_roles(app: Sphinx, site: Site) -> None:
    """Register the roles of the page language."""
    roles: dict[str, tuple[type[ManualRole], dict[str, Any]]] = {
        "torque": (TorqueRole, {}),
        "fastener": (NameRole, {"kind": Fastener}),
        "part": (NameRole, {"kind": Part}),
        "connection": (NameRole, {"kind": Connection}),
        "rule": (NameRole, {"kind": Rule}),
        "tool": (ToolRole, {}),
        "q": (QuantityRole, {}),
        "step": (StepRole, {}),
    }
    for name, (base, members) in roles.items():
        bound = type(base.__name__, (base,), {"site": site, **members})
        app.add_role(name, bound())

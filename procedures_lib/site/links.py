"""Where the links of a page lead: from ``kind:id`` to a page and an anchor on it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.entities.work import Procedure
from procedures_lib.site.nodes import mark

if TYPE_CHECKING:
    from procedures_lib.manual import Manual, Scope

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

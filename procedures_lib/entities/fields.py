"""A mapping of a block to a model, with findings that point to the line of each bad value."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from pydantic import ValidationError

from procedures_lib.entities.base import Model, fields_of
from procedures_lib.findings import Finding, Place, suggestion
from procedures_lib.reading.scalar import Scalar, Tree, line_of

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

M = TypeVar("M", bound=Model)


class FieldReader:
    """Reads mappings of one page; what is wrong collects in ``findings``."""

    def __init__(self, page: str) -> None:
        self.page = page
        self.findings: list[Finding] = []

    def find(self, line: int, check: str, message: str, hint: str = "") -> None:
        """Note a finding of level error on a line of this page."""
        self.findings.append(Finding(Place(self.page, line), check, message, hint))

    def mapping(self, tree: Tree | None, line: int, what: str) -> dict[Scalar, Tree]:
        """Return the tree as a mapping; anything else is a finding and gives an empty one."""
        if tree is None:
            return {}
        if isinstance(tree, dict):
            return tree
        self.find(line_of(tree, line), "unreadable-block", f"{what} holds `key: value` lines only",
                  "write a mapping, one key a line")  # fmt: skip
        return {}

    def model(
        self, model: type[M], tree: Tree | None, line: int, what: str, **given: Any
    ) -> M | None:
        """Read a mapping into ``model``, or return None when a needed field is missing or bad.

        ``given`` are attributes that do not stand in the mapping. A bad optional field is dropped
        with a finding, so that the rest can still be used.
        """
        fields = dict(self.mapping(tree, line, what))
        for key in [key for key in fields if key not in fields_of(model)]:
            hint = suggestion(key, fields_of(model))
            if " " in key and not fields[key]:
                hint = "a text with a comma in it needs quotes inside `{ }`"
            self.find(key.line, "unknown-field", f"{what} has no field `{key}`", hint)
            del fields[key]
        while True:
            try:
                return model.model_validate({**{str(k): v for k, v in fields.items()}, **given})
            except ValidationError as error:
                if not self._drop_bad(error, fields, line, what):
                    return None

    def _drop_bad(
        self, error: ValidationError, fields: dict[Scalar, Tree], line: int, what: str
    ) -> bool:
        """Note the errors and remove their fields; False when a needed field is not there."""
        missing = False
        for detail in error.errors():
            self._note(detail, fields, line, what)
            key = detail["loc"][0] if detail["loc"] else ""
            missing = missing or (detail["type"] == "missing" and len(detail["loc"]) == 1)
            fields.pop(Scalar(str(key)), None)
        if missing:
            return False
        return bool(error.errors())

    def _note(self, detail: ErrorDetails, fields: dict[Scalar, Tree], line: int, what: str) -> None:
        key, at = _locate(fields, detail["loc"], line)
        context = detail.get("ctx", {})
        if "hint" in context:
            check, message, hint = detail["type"], detail["msg"], context["hint"]
            at = context["line"] or at
            self.find(at, check, f"`{key}`: {message}" if key else message, hint)
        elif detail["type"] == "missing":
            self.find(at, "missing-field", f"{what} needs `{key}`", f"add `{key}: …`")
        elif detail["type"] == "extra_forbidden":
            self.find(at, "unknown-field", f"{what} has no field `{key}`", "look at its spelling")
        else:
            self.find(at, "wrong-shape", f"`{key}`: the value has the wrong shape",
                      "the writer's guide shows each field with an example")  # fmt: skip


def _locate(fields: dict[Scalar, Tree], loc: tuple[int | str, ...], line: int) -> tuple[str, int]:
    """Return the written path of a field and the line of its value, as far as there is one."""
    tree: Any = fields
    for part in loc:
        if isinstance(tree, dict) and part in tree:
            found = next(key for key in tree if key == part)
            line = line_of(tree[part], getattr(found, "line", line) or line) or line
            tree = tree[part]
        elif isinstance(tree, list | tuple) and isinstance(part, int) and part < len(tree):
            tree = tree[part]
            line = line_of(tree, line)
        else:
            break
    words = [f"{part + 1}" if isinstance(part, int) else str(part) for part in loc]
    return " ".join(words), line

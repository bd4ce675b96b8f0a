"""A mapping of a block to a model, with findings that point to the line of each bad value."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from procedures_lib.findings import Finding, Place, SlipError
from procedures_lib.language.entities.entity import Entity, Model, fields_of
from procedures_lib.language.entities.field_types import OneOf
from procedures_lib.language.reading.page import Scalar, Tree, line_of
from procedures_lib.spelling import nearest, suggestion

M = TypeVar("M", bound=Model)


STAND_IN = "?"
"""What stands for a text that an entity needs and its page does not give."""


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
        self,
        model: type[M],
        tree: Tree | None,
        line: int,
        what: str,
        lost: frozenset[str] = frozenset(),
        **given: Any,
    ) -> M | None:
        """Read a mapping into ``model``, or return None when a needed field is missing or bad.

        ``given`` are attributes that do not stand in the mapping; ``lost`` are fields whose YAML
        could not be read, which is a finding already. A bad optional field is dropped with a
        finding, so that the rest can still be used, and so is a bad text that an entity needs.
        """
        fields = dict(self.mapping(tree, line, what))
        self._mend_names(model, fields, what)
        shapeless = tree is not None and not isinstance(tree, dict)
        said = set(fields_of(model)) if shapeless else set(lost)
        while True:
            try:
                return model.model_validate({**{str(k): v for k, v in fields.items()}, **given})
            except ValidationError as error:
                wrong = error.errors()
            for detail in wrong:
                if detail["type"] != "missing" or str(detail["loc"][0]) not in said:
                    self._note(detail, fields, line, what)
            if not _mend(wrong, model, fields, line):
                return None
            said.update(str(detail["loc"][0]) for detail in wrong if detail["loc"])

    def _mend_names(self, model: type[Model], fields: dict[Scalar, Tree], what: str) -> None:
        """Note the unknown fields; one that is nearly the name of a known one is read as that."""
        known = fields_of(model)
        self._mend_commas(fields)
        for key in [key for key in fields if key not in known]:
            hint = suggestion(key, known)
            if " " in key and not fields[key]:
                hint = "a text with a comma in it needs quotes inside `{ }`"
            self.find(key.line, "unknown-field", f"{what} has no field `{key}`", hint)
            meant = nearest(key, known.keys() - fields.keys())
            value = fields.pop(key)
            if meant:
                fields[Scalar(meant, key.line)] = value

    def _mend_commas(self, fields: dict[Scalar, Tree]) -> None:
        """Note a decimal comma that parted an entry in two (``quantity: 1`` and ``5 L``)."""
        for key, after in list(pairwise(fields)):
            value = fields.get(key)
            split = isinstance(value, Scalar) and value.isdecimal() and not fields[after]
            if isinstance(value, Scalar) and split and after[:1].isdecimal():
                self.find(value.line, "not-a-number",
                          f"`{key}: {value},{after}`: a comma parts the entries inside `{{ }}`",
                          f"write {value}.{after}")  # fmt: skip
                fields[key] = Scalar(f"{value}.{after}", value.line)
                del fields[after]

    def _note(self, detail: ErrorDetails, fields: dict[Scalar, Tree], line: int, what: str) -> None:
        key, at = _locate(fields, detail["loc"], line)
        slip = detail.get("ctx", {}).get("error")
        if isinstance(slip, SlipError):
            message = f"`{key}`: {slip.message}" if key else slip.message
            self.find(slip.line or at, slip.check, message, slip.hint)
        elif detail["type"] == "missing":
            self.find(at, "missing-field", f"{what} needs `{key}`", f"add `{key}: …`")
        elif detail["type"] == "extra_forbidden":
            self.find(at, "unknown-field", f"{what} has no field `{key}`", "look at its spelling")
        else:
            self.find(at, "wrong-shape", f"`{key}`: the value has the wrong shape",
                      "the writer's guide shows each field with an example")  # fmt: skip


def _mend(
    wrong: list[ErrorDetails], model: type[Model], fields: dict[Scalar, Tree], line: int
) -> bool:
    """Take bad fields out and put stand-ins where some are missing; False when neither helps."""
    missing = {str(d["loc"][0]) for d in wrong if d["type"] == "missing" and len(d["loc"]) == 1}
    bad = {str(detail["loc"][0]) for detail in wrong if detail["loc"]} - missing
    at_hand = bad <= fields.keys()
    for name in bad:
        fields.pop(Scalar(name), None)
    can = {name for name in missing if _may_stand_in(model, name)}
    fields.update({Scalar(name, line): Scalar(STAND_IN, line) for name in can})
    return bool(bad or missing) and at_hand and can == missing


def _may_stand_in(model: type[Model], written: str) -> bool:
    """Tell whether a needed field is a plain text, without which an entity can still be used."""
    field = model.model_fields[fields_of(model)[written]]
    listed = any(isinstance(mark, OneOf) for mark in field.metadata)
    return issubclass(model, Entity) and field.annotation is str and not listed


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

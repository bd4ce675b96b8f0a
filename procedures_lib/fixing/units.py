"""Unit spellings to the one way: ``10 Nm`` in a field or a ``{q}`` becomes ``10 N·m``."""

from __future__ import annotations

import re
from contextlib import suppress
from fractions import Fraction
from typing import TYPE_CHECKING, Any, get_args

from procedures_lib.entities.base import Model, fields_of
from procedures_lib.entities.builder import COLLECTIONS, HEADS
from procedures_lib.entities.field_types import OfKind
from procedures_lib.entities.kit import ContentItem
from procedures_lib.entities.work import StepOptions
from procedures_lib.fixing.raw import Edit, lines_of
from procedures_lib.quantities import QuantityError
from procedures_lib.quantities.unit_text import Amount, unit_meant
from procedures_lib.reading.scalar import Scalar
from procedures_lib.tightening import Stage

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.reading.page import Block, Page
    from procedures_lib.reading.scalar import Tree

    _Value = tuple[Scalar, tuple[str | None, ...]]

_NUMBER_AND_UNIT = re.compile(r"(.*[0-9])(\s*)([^\s0-9][^0-9]*)$", re.DOTALL)
_STAGE_KINDS: tuple[str | None, ...] = ("torque", "angle")
_OPTIONS: dict[str, type[Model]] = {"step": StepOptions}


def spelled(text: str, kinds: tuple[str | None, ...] = (None,)) -> str:
    """Return a quantity or stage with the symbol of its unit; unchanged when there is none.

    The unit has to be of one of the kinds (None: of any), and no other may be meant. The number,
    and what stands before it, stay as they are.
    """
    match = _NUMBER_AND_UNIT.match(text)
    symbol = _symbol(match[3], kinds) if match else ""
    if match is None or not symbol or match[3] == symbol:
        return text
    return f"{match[1]}{'' if symbol == '°' else ' '}{symbol}"


def _symbol(text: str, kinds: tuple[str | None, ...]) -> str:
    for kind in kinds:
        with suppress(QuantityError):
            return unit_meant(text, kind, Amount("1", Fraction(1), Fraction(1))).symbol
    return ""


def unit_edits(page: Page, text: str) -> Iterator[Edit]:
    """Yield the edits that spell every unit in fields and ``{q}`` the one way.

    Double entry stays as its source prints it.
    """
    lines = [line for line, _ in lines_of(text)]
    for value, kinds in _values(page):
        if 0 < value.line <= len(lines):
            yield from _in_line(value, value, lines[value.line - 1], kinds)
    for role in _roles(page):
        if role.name == "q":
            line = lines[role.target.line - 1]
            yield from _in_line(role.target, f"{{q}}`{role.target}`", line, (None,))


def _in_line(value: Scalar, text: str, line: str, kinds: tuple[str | None, ...]) -> Iterator[Edit]:
    """Yield the edit of a text that stands on its line once, as a word of its own."""
    new = spelled(value, kinds)
    found = [m.start() for m in re.finditer(rf"(?<![\w.,]){re.escape(text)}(?!\w)", line)]
    if new != value and len(found) == 1:
        start = found[0] + text.index(value)
        yield Edit(value.line, start, start + len(value), new)


def _roles(page: Page) -> Iterator[Any]:
    yield from page.roles
    for block in page.walk():
        yield from block.roles


def _values(page: Page) -> Iterator[_Value]:
    for block in page.walk():
        yield from _of_block(block)


def _of_block(block: Block) -> Iterator[_Value]:
    if block.name in COLLECTIONS and isinstance(block.data, dict):
        for tree in block.data.values():
            yield from _quantities(COLLECTIONS[block.name], tree)
    model = HEADS.get(block.name) or _OPTIONS.get(block.name)
    if model is not None and block.data is not None:
        yield from _quantities(model, block.data)


def _quantities(model: type[Model], tree: Tree) -> Iterator[_Value]:
    """Yield the texts of a mapping that its model reads as quantities or stages."""
    if not isinstance(tree, dict) or model is ContentItem:
        return
    known = fields_of(model)
    for key, value in tree.items():
        if key in known:
            yield from _of_field(model.model_fields[known[key]], value)


def _of_field(field: Any, value: Tree) -> Iterator[_Value]:
    marks = [*field.metadata, *_all_args(field.annotation)]
    kinds = _STAGE_KINDS if Stage in marks else ()
    kinds += tuple(mark.kind for mark in marks if isinstance(mark, OfKind))
    if kinds:
        yield from ((text, kinds) for text in _scalars(value))
    for inner in marks:
        if isinstance(inner, type) and issubclass(inner, Model):
            for each in value if isinstance(value, list) else [value]:
                yield from _quantities(inner, each)


def _all_args(annotation: Any) -> list[Any]:
    args = [annotation]
    for arg in get_args(annotation):
        args += _all_args(arg)
    return args


def _scalars(value: Tree) -> Iterator[Scalar]:
    if isinstance(value, Scalar):
        yield value
    elif isinstance(value, list):
        for each in value:
            yield from _scalars(each)
    else:
        yield from (
            each for key, each in value.items() if key == "stage" and isinstance(each, Scalar)
        )
